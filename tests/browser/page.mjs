// The page on this machine, used as a person would.
import assert from "node:assert/strict";
import { spawn } from "node:child_process";
import { cpSync, existsSync, mkdtempSync, readFileSync, writeFileSync } from "node:fs";
import http from "node:http";
import { tmpdir } from "node:os";
import path from "node:path";
import { accessible, fits, keyboard, picture, program, root, tab, test } from "./tools.mjs";

const home = mkdtempSync(path.join(tmpdir(), "dryfit-page-"));
const demo = path.join(root, "fixtures/glaze-room");
const clean = path.join(root, "fixtures/glaze-room-clean");

/** Starts the program; gives its address, and a way to end it. */
function start(...words) {
  const child = spawn(program, ["page", ...words], { stdio: ["ignore", "pipe", "inherit"] });
  const ended = new Promise((done) => child.once("exit", done));
  const address = new Promise((done, failed) => {
    let said = "";
    child.stdout.on("data", (some) => {
      said += some;
      const found = said.match(/http:\/\/\S+/);
      if (found) done(found[0]);
    });
    ended.then(() => failed(new Error(`ended at once: ${said}`)));
  });
  return { address, ended, stop: () => child.kill("SIGINT") };
}

/** Drops files of this machine on the page, as a file manager does. */
async function drop(page, files) {
  const session = await page.createCDPSession();
  const data = { items: [], files, dragOperationsMask: 1 };
  const box = await (await page.$("#drop")).boundingBox();
  const at = { x: box.x + box.width / 2, y: box.y + 20 };
  for (const type of ["dragEnter", "dragOver", "drop"]) {
    await session.send("Input.dispatchDragEvent", { type, ...at, data });
  }
  await session.detach();
}

async function press(page, text) {
  const [button] = await page.$$(`xpath/.//button[contains(normalize-space(.), '${text}')]`);
  assert.ok(button, `no button ${text}`);
  await Promise.all([page.waitForNavigation(), button.click()]);
}

async function follow(page, text) {
  const [link] = await page.$$(`xpath/.//nav[@aria-label='Job']//a[contains(., '${text}')]`);
  assert.ok(link, `no link ${text}`);
  await Promise.all([page.waitForNavigation(), link.click()]);
}

const text = (page) => page.evaluate(() => document.body.innerText);

/** Everything that holds for every page. */
async function sound(page, name) {
  await accessible(page, name);
  await fits(page, name);
  await keyboard(page, name, 40);
  await picture(page, `page-${name}`);
}

/** The demo's right list with two headings exchanged. */
function exchanged() {
  const file = path.join(home, "glaze-room.csv");
  const list = readFileSync(path.join(clean, "glaze-room.csv"), "utf8");
  const wrong = list.replace("Width,Thickness", "Thickness,Width");
  assert.notEqual(wrong, list);
  writeFileSync(file, wrong);
  return file;
}

test("page: files are dropped, the finding is seen, nothing leaves this machine", async (browser) => {
  const run = start();
  try {
    const address = await run.address;
    const page = await tab(browser);
    await page.goto(address);
    await sound(page, "start");
    await Promise.all([
      page.waitForNavigation({ timeout: 60_000 }),
      drop(page, [path.join(demo, "glaze-room.dxf"), path.join(demo, "glaze-room.csv")]),
    ]);
    assert.match(await text(page), /B2, Side \(line 12\): length is listed 31 in; it is drawn 34 1\/2 in high/);
    assert.ok(await page.$("#F1-picture svg"));
    await sound(page, "report");
    await follow(page, "How it was read");
    await sound(page, "reading");
    await follow(page, "Job file");
    await sound(page, "job-file");
    const origin = new URL(address).origin;
    const elsewhere = page.asked.filter((url) => !url.startsWith(origin) && !url.startsWith("data:"));
    assert.deepEqual(elsewhere, []);
    assert.deepEqual(page.faults, []);
    await press(page, "Close this job");
    assert.match(await text(page), /Open jobs\s+None\./);
    await press(page, "End dryfit");
    assert.match(await text(page), /dryfit has ended/);
    assert.deepEqual(page.faults, []);
    assert.equal(await run.ended, 0);
  } finally {
    run.stop();
  }
});

test("page: a column is corrected, the effect is shown, the job file is downloaded", async (browser) => {
  const run = start();
  try {
    const page = await tab(browser);
    await page.goto(await run.address);
    await Promise.all([
      page.waitForNavigation({ timeout: 60_000 }),
      drop(page, [path.join(clean, "glaze-room.dxf"), exchanged()]),
    ]);
    assert.match(await text(page), /The list and the drawing disagree/);
    await follow(page, "How it was read");
    // By what a person sees: the columns above the sizes.
    const selects = await page.$$eval("form.columns select", (all) => all.map((one) =>
      [one.name, one.getAttribute("aria-label"), one.value]));
    const [wide] = selects.filter(([, label]) => /Width/.test(label));
    const [thick] = selects.filter(([, label]) => /Thickness/.test(label));
    assert.deepEqual([wide[2], thick[2]], ["width", "thickness"]);
    await page.select(`form.columns select[name=${wide[0]}]`, "thickness");
    await page.select(`form.columns select[name=${thick[0]}]`, "width");
    await press(page, "Read the columns so");
    const now = await text(page);
    assert.match(now, /The list agrees with the drawing/);
    assert.match(now, /What the last change did/i);
    assert.match(now, /Findings gone/);
    await picture(page, "page-effect");
    await accessible(page, "effect");
    // A tolerance that is none changes nothing and says why.
    await page.type("#tolerance", "a foot");
    await press(page, "Check with these");
    assert.match(await page.$eval("[role=alert]", (at) => at.innerText), /tolerance|default/);
    await accessible(page, "refused");
    await follow(page, "Job file");
    const shown = await page.$$eval(".differences ins", (all) => all.map((one) => one.innerText.trim()));
    assert.deepEqual(shown, ["+ [list.columns]", '+ width = "Thickness"', '+ thickness = "Width"']);
    const session = await browser.target().createCDPSession();
    await session.send("Browser.setDownloadBehavior", { behavior: "allow", downloadPath: home, eventsEnabled: true });
    const done = new Promise((seen) => session.on("Browser.downloadProgress", ({ state }) => state === "completed" && seen()));
    await page.click("a[download='dryfit.toml']");
    await done;
    const saved = readFileSync(path.join(home, "dryfit.toml"), "utf8");
    assert.equal(saved, '[list.columns]\nwidth = "Thickness"\nthickness = "Width"\n');
    assert.deepEqual(page.faults.filter((said) => !/422/.test(said)), []);
  } finally {
    run.stop();
  }
});

test("page: a view is corrected and the job file is saved into the folder, as shown", async (browser) => {
  const job = path.join(home, "job");
  cpSync(demo, job, { recursive: true });
  const file = path.join(job, "dryfit.toml");
  const before = existsSync(file) ? readFileSync(file, "utf8") : "";
  const run = start(job);
  try {
    const page = await tab(browser);
    await page.goto(await run.address);
    assert.match(await text(page), /B2, Side \(line 12\): length is listed 31 in/);
    await follow(page, "How it was read");
    const views = await page.$$eval("fieldset.view legend", (all) => all.map((one) => one.innerText));
    const at = views.findIndex((view) => /B2 FRONT/.test(view));
    assert.ok(at >= 0, views.join("; "));
    await page.select(`#k${at}`, "plan");
    await press(page, "Read the views so");
    assert.match(await text(page), /job file line \d+ says so/);
    await page.select(`#k${at}`, "");
    await press(page, "Read the views so");
    await page.type("#tolerance", "1/16 in");
    await press(page, "Check with these");
    await follow(page, "Job file");
    assert.equal(existsSync(file) ? readFileSync(file, "utf8") : "", before, "written without being asked");
    await accessible(page, "differences");
    await picture(page, "page-differences");
    await press(page, before ? "Replace dryfit.toml as shown" : "Save dryfit.toml");
    assert.match(readFileSync(file, "utf8"), /default = "1\/16 in"/);
    assert.match(await text(page), /the job file says it already/);
    // Replacing shows what is replaced.
    await follow(page, "How it was read");
    await page.$eval("#tolerance", (at) => { at.value = ""; });
    await page.type("#tolerance", "1/8 in");
    await press(page, "Check with these");
    await follow(page, "Job file");
    assert.deepEqual(
      await page.$$eval(".differences del, .differences ins", (all) => all.map((one) => one.innerText.trim())),
      ['− default = "1/16 in"', '+ default = "1/8 in"'],
    );
    await press(page, "Replace dryfit.toml as shown");
    assert.match(readFileSync(file, "utf8"), /default = "1\/8 in"/);
  } finally {
    run.stop();
  }
});

test("page: without script files are chosen and everything works", async (browser) => {
  const run = start();
  try {
    const page = await tab(browser);
    await page.setJavaScriptEnabled(false);
    await page.goto(await run.address);
    const input = await page.$("input[type=file]");
    await input.uploadFile(path.join(demo, "glaze-room.dxf"), path.join(demo, "glaze-room.csv"));
    await press(page, "Check them");
    assert.ok(await page.$("#F1"));
  } finally {
    run.stop();
  }
});

test("page: what cannot be read is said, and the page goes on", async (browser) => {
  const run = start();
  try {
    const page = await tab(browser);
    await page.goto(await run.address);
    const wrong = path.join(home, "note.doc");
    writeFileSync(wrong, "x");
    await drop(page, [wrong]);
    await page.waitForFunction(() => /neither a drawing/.test(document.getElementById("drop-said").textContent));
    await accessible(page, "said");
    await drop(page, [path.join(root, "fixtures")]);
    await page.waitForFunction(() => /no drawing and no list/.test(document.getElementById("drop-said").textContent));
    // A folder is taken apart.
    await Promise.all([page.waitForNavigation({ timeout: 60_000 }), drop(page, [demo])]);
    assert.ok(await page.$("#F1"));
  } finally {
    run.stop();
  }
});

test("page: another site open in the browser gets nothing and changes nothing", async (browser) => {
  const run = start();
  const address = await run.address;
  // It even knows the address.
  const site = http.createServer((_, answer) => {
    answer.setHeader("Content-Type", "text/html");
    answer.end(`<!doctype html><title>other</title><iframe id=f src="${address}"></iframe>
      <form id=g method=post enctype=multipart/form-data action="${address}jobs"><input name=files value=x></form>`);
  });
  await new Promise((done) => site.listen(0, "127.0.0.1", done));
  try {
    const page = await tab(browser);
    const other = `http://localhost:${site.address().port}/`;
    await page.goto(other);
    const tried = await page.evaluate(async (address) => {
      const said = [];
      for (const how of [{}, { mode: "no-cors" }, { method: "POST", body: "x" },
        { method: "POST", mode: "no-cors", body: new FormData() }]) {
        try {
          const answer = await fetch(address + (how.method ? "end" : ""), how);
          said.push(answer.type === "opaque" ? "opaque" : await answer.text());
        } catch {
          said.push("failed");
        }
      }
      return said;
    }, address);
    assert.ok(tried.every((said) => said === "failed" || said === "opaque"), tried.join());
    const framed = page.frames().find((frame) => frame !== page.mainFrame());
    assert.ok(!framed || !(await framed.content().catch(() => "")).includes("cut list"), "shown in a frame");
    const [answer] = await Promise.all([
      page.waitForNavigation(),
      page.evaluate(() => document.getElementById("g").submit()),
    ]);
    assert.equal(answer.status(), 403);
    // Still there, and nothing was made.
    await page.goto("about:blank");
    await page.goto(address);
    assert.match(await text(page), /Open jobs\s+None\./);
    // A name of its own that leads to this machine is no way in.
    const seen = await new Promise((done) => http.get(address,
      { headers: { Host: `rebound.example:${new URL(address).port}` } }, (answer) => done(answer.statusCode)));
    assert.equal(seen, 421);
  } finally {
    site.close();
    site.closeAllConnections();
    run.stop();
  }
});
