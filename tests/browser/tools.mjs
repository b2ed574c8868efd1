// What the tests share: a browser, checks that hold for every page, pictures.
import assert from "node:assert/strict";
import { execFileSync } from "node:child_process";
import { mkdirSync } from "node:fs";
import path from "node:path";
import { fileURLToPath } from "node:url";
import axe from "axe-core";
import puppeteer from "puppeteer-core";

export const root = path.resolve(path.dirname(fileURLToPath(import.meta.url)), "../..");
export const program = path.resolve(process.env.DRYFIT ?? path.join(root, "target/debug/dryfit"));
/** Pictures of what was seen, for a person to look at. */
export const pictures = process.env.PICTURES ?? path.join(root, "target/browser");
mkdirSync(pictures, { recursive: true });

export const WIDE = { width: 1280, height: 900 };
export const NARROW = { width: 360, height: 780 };

export function launch() {
  const args = ["--disable-gpu", "--disable-dev-shm-usage", "--no-first-run"];
  // A container's root has no other way.
  if (process.getuid?.() === 0) args.push("--no-sandbox");
  return puppeteer.launch({
    executablePath: process.env.CHROMIUM ?? "/usr/bin/chromium",
    headless: true,
    args,
  });
}

/** Runs the program; any exit status but 2 will do. */
export function run(...words) {
  try {
    return execFileSync(program, words, { stdio: ["ignore", "pipe", "pipe"] }).toString();
  } catch (error) {
    assert.ok([1, 3].includes(error.status), `${words.join(" ")}: ${error.stderr}`);
    return error.stdout.toString();
  }
}

/** A page whose every request is kept. */
export async function tab(browser, size = WIDE) {
  const page = await browser.newPage();
  await page.setViewport(size);
  page.asked = [];
  page.on("request", (request) => page.asked.push(request.url()));
  page.faults = [];
  page.on("pageerror", (error) => page.faults.push(String(error)));
  page.on("console", (said) => {
    if (said.type() === "error") page.faults.push(said.text());
  });
  return page;
}

export async function picture(page, name, fullPage = true) {
  await page.screenshot({ path: path.join(pictures, `${name}.png`), fullPage });
}

/** No rule of axe-core is broken: names, roles, order, contrast. */
export async function accessible(page, where) {
  await page.evaluate(axe.source);
  const { violations } = await page.evaluate(() => window.axe.run(document));
  const said = violations.map((rule) =>
    `${rule.id}: ${rule.help}\n  ${rule.nodes.slice(0, 4).map((node) => node.html.slice(0, 200)).join("\n  ")}`);
  assert.equal(violations.length, 0, `${where}\n${said.join("\n")}`);
}

/** Nothing sticks out to the side at either width. */
export async function fits(page, where) {
  for (const size of [NARROW, WIDE]) {
    await page.setViewport(size);
    const [wide, room] = await page.evaluate(() =>
      [document.documentElement.scrollWidth, document.documentElement.clientWidth]);
    assert.ok(wide <= room, `${where}: ${wide} px wide in ${room}`);
  }
}

/** Every stop of the Tab key is visible, has a name, and comes in the order of the page. */
export async function keyboard(page, where, most = 400) {
  await page.evaluate(() => {
    document.activeElement?.blur();
    window.scrollTo(0, 0);
    window.stops = [];
  });
  const wanted = await page.evaluate(() => [...document.querySelectorAll(
    "a[href], button, input:not([type=hidden]), select, textarea, [tabindex='0']")].length);
  let count = 0;
  for (; count < Math.min(wanted, most); count += 1) {
    await page.keyboard.press("Tab");
    const stop = await page.evaluate(() => {
      const at = document.activeElement;
      if (!at || at === document.body) return null;
      const style = getComputedStyle(at);
      const box = at.getBoundingClientRect();
      const before = window.stops.at(-1);
      window.stops.push(at);
      return {
        what: at.outerHTML.slice(0, 120),
        outline: style.outlineStyle !== "none" && parseFloat(style.outlineWidth) >= 2,
        seen: box.width > 0 && box.height > 0 && box.right > 0 && box.left < innerWidth
          && box.bottom > 0 && box.top < innerHeight,
        ordered: !before || Boolean(before.compareDocumentPosition(at) & Node.DOCUMENT_POSITION_FOLLOWING),
      };
    });
    assert.ok(stop, `${where}: Tab leads nowhere after ${count} of ${wanted} stops`);
    assert.ok(stop.outline, `${where}: no visible focus on ${stop.what}`);
    assert.ok(stop.seen, `${where}: out of sight: ${stop.what}`);
    assert.ok(stop.ordered, `${where}: out of order: ${stop.what}`);
  }
  return count;
}

const tests = [];
/** Puts a test down; its name says what holds. */
export function test(name, body) {
  tests.push([name, body]);
}

/** Runs all tests; gives how many failed. */
export async function all(filter) {
  let failed = 0;
  const browser = await launch();
  console.log(await browser.version());
  for (const [name, body] of tests) {
    if (filter && !name.includes(filter)) continue;
    const from = Date.now();
    try {
      await body(browser);
      console.log(`ok      ${name} (${Date.now() - from} ms)`);
    } catch (error) {
      failed += 1;
      console.log(`FAILED  ${name}\n${error.stack}`);
    }
    for (const page of (await browser.pages()).slice(1)) await page.close();
  }
  await browser.close();
  return failed;
}
