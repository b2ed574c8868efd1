// The HTML report: one file, links both ways, keyboard, paper, narrow screens.
import assert from "node:assert/strict";
import { execFileSync } from "node:child_process";
import { cpSync, mkdtempSync, readFileSync, readdirSync, writeFileSync } from "node:fs";
import { tmpdir } from "node:os";
import path from "node:path";
import { pathToFileURL } from "node:url";
import { accessible, fits, keyboard, picture, pictures, root, run, tab, test, WIDE } from "./tools.mjs";

const home = mkdtempSync(path.join(tmpdir(), "dryfit-report-"));

/** Writes the reports of a job; gives the address of the page. */
function report(name, job) {
  const out = path.join(home, name);
  run("check", job, "--out", out);
  return pathToFileURL(path.join(out, "report.html")).href;
}

/** The demo's list with many figures pulled wrong: every length of a third of the rows, by turns. */
function manyFindings() {
  const job = path.join(home, "many-job");
  cpSync(path.join(root, "fixtures/glaze-room"), job, { recursive: true });
  const file = path.join(job, "glaze-room.csv");
  const lines = readFileSync(file, "utf8").split("\n");
  const changed = lines.map((line, at) => {
    const cells = line.split(",");
    if (at === 0 || at % 3 !== 0 || cells.length < 6) return line;
    const column = 3 + (at % 2);
    cells[column] = cells[column].replace(/^\d+/, (whole) => String(Number(whole) + 1 + (at % 4)));
    return cells.join(",");
  });
  writeFileSync(file, changed.join("\n"));
  return job;
}

/** The demo with one angle bracket and quote in every place a name can be. */
function strangeNames() {
  const job = path.join(home, "strange-job");
  cpSync(path.join(root, "fixtures/glaze-room"), job, { recursive: true });
  const file = path.join(job, "glaze-room.csv");
  const text = readFileSync(file, "utf8").replaceAll("Stretcher", "<img src=x onerror=document.title=1>");
  writeFileSync(file, text);
  return job;
}

/** The right list of the demo with a row nobody can place. */
function notChecked() {
  const job = path.join(home, "open-job");
  cpSync(path.join(root, "fixtures/glaze-room-clean"), job, { recursive: true });
  const file = path.join(job, "glaze-room.csv");
  writeFileSync(file, `${readFileSync(file, "utf8").trimEnd()}\nB1,Contraption,1,10,5,3/4,\n`);
  return job;
}

const jobs = {
  "glaze-room": path.join(root, "fixtures/glaze-room"),
  "glaze-room-clean": path.join(root, "fixtures/glaze-room-clean"),
  "kiln-store": path.join(root, "fixtures/kiln-store"),
  "many": manyFindings(),
  "open": notChecked(),
};

for (const [name, job] of Object.entries(jobs)) {
  test(`report of ${name}: one file, accessible, fits, keyboard`, async (browser) => {
    const address = report(name, job);
    const page = await tab(browser);
    await page.goto(address);
    await picture(page, `report-${name}-wide`, false);
    await accessible(page, name);
    await keyboard(page, name, 60);
    await fits(page, name);
    await page.setViewport({ width: 360, height: 780 });
    await accessible(page, `${name}, narrow`);
    await picture(page, `report-${name}-narrow`, false);
    await page.setViewport(WIDE);
    // The page itself and nothing else was ever asked for.
    const asked = new Set(page.asked.map((url) => url.split("#")[0]));
    assert.deepEqual([...asked], [address]);
    assert.deepEqual(page.faults, []);
    assert.equal(await page.evaluate(() => document.scripts.length), 0);
  });

  test(`report of ${name}: links lead there and back`, async (browser) => {
    const page = await tab(browser);
    await page.goto(report(`${name}-links`, job));
    const findings = await page.$$eval("article.finding", (all) => all.map((one) => one.id));
    const rowLinks = await page.$$eval("article.finding a[href^='#row']", (all) => all.map((a) =>
      [a.closest("article").id, a.getAttribute("href").slice(1)]));
    for (const [finding, row] of rowLinks) {
      const back = await page.evaluate((row, finding) =>
        Boolean(document.getElementById(row)?.querySelector(`a[href='#${finding}']`)), row, finding);
      assert.ok(back, `${row} does not lead back to ${finding}`);
    }
    const pictured = await page.$$eval("article.finding figure", (all) => all.map((one) => one.id));
    for (const figure of pictured) {
      const finding = figure.split("-")[0];
      const [back, from] = await page.evaluate((figure, finding) => [
        Boolean(document.getElementById(figure).querySelector(`a[href='#${finding}']`)),
        document.querySelectorAll(`#list a[href='#${figure}']`).length,
      ], figure, finding);
      assert.ok(back, `${figure} does not lead back to ${finding}`);
      // The first picture of a finding about a row is linked from the row.
      if (figure.endsWith("-picture") && rowLinks.some(([id]) => id === finding)) {
        assert.ok(from > 0, `no row leads to ${figure}`);
      }
    }
    // One of them followed for real, by keyboard.
    if (rowLinks.length > 0) {
      const [finding, row] = rowLinks[0];
      await page.focus(`#${finding} a[href='#${row}']`);
      await page.keyboard.press("Enter");
      assert.equal(await page.evaluate(() => location.hash), `#${row}`);
      const seen = await page.$eval(`#${row}`, (at) => {
        const box = at.getBoundingClientRect();
        return box.top >= 0 && box.top < innerHeight && at.matches(":target");
      });
      assert.ok(seen, `${row} is not in sight`);
      await page.focus(`#${row} a[href='#${finding}']`);
      await page.keyboard.press("Enter");
      assert.equal(await page.evaluate(() => location.hash), `#${finding}`);
    }
    const said = await page.$(".unchecked-first a[href='#coverage']");
    assert.equal(Boolean(said), name === "open" || (await page.$$("#coverage .open > li")).length > 0);
    if (name === "open") assert.ok(await page.$("#coverage .open a[href^='#row']"));
    const expected = { "glaze-room": 1, "glaze-room-clean": 0 }[name];
    if (expected !== undefined) assert.equal(findings.length, expected);
    if (name === "many") assert.ok(findings.length >= 10, `${findings.length} findings`);
  });

  test(`report of ${name}: pictures can be read`, async (browser) => {
    const page = await tab(browser);
    await page.goto(report(`${name}-pictures`, job));
    const faults = await page.evaluate(() => {
      const faults = [];
      for (const svg of document.querySelectorAll("svg.picture")) {
        const where = svg.closest("figure")?.id;
        const frame = svg.getBoundingClientRect();
        const texts = [...svg.querySelectorAll("text")].map((text) =>
          ({ text: text.textContent, box: text.getBoundingClientRect() }));
        for (const [at, one] of texts.entries()) {
          const { box } = one;
          if (box.left < frame.left - 1 || box.right > frame.right + 1
            || box.top < frame.top - 1 || box.bottom > frame.bottom + 1) {
            faults.push(`${where}: "${one.text}" sticks out of the picture`);
          }
          if (Math.min(box.width, box.height) < 10) {
            faults.push(`${where}: "${one.text}" is too small: ${Math.min(box.width, box.height)} px`);
          }
          for (const other of texts.slice(at + 1)) {
            const across = Math.min(box.right, other.box.right) - Math.max(box.left, other.box.left);
            const down = Math.min(box.bottom, other.box.bottom) - Math.max(box.top, other.box.top);
            if (across > 2 && down > 2) faults.push(`${where}: "${one.text}" lies on "${other.text}"`);
          }
        }
        // Right and wrong are told apart by line and word, not by colour alone.
        const dash = (ink) => {
          const line = svg.querySelector(`.mark.${ink} .measure`);
          return line && getComputedStyle(line).strokeDasharray;
        };
        const [right, wrong] = [dash("drawn"), dash("listed")];
        if (right && wrong && right === wrong) faults.push(`${where}: right and wrong have one dash`);
        for (const ink of ["drawn", "listed"]) {
          for (const label of svg.querySelectorAll(`.mark.${ink} text`)) {
            const word = ink === "drawn" ? /^drawn / : /^(listed|taken) /;
            if (!word.test(label.textContent)) faults.push(`${where}: "${label.textContent}" does not say which it is`);
          }
        }
      }
      // A finding about a size shows both, where it has a picture at all.
      for (const article of document.querySelectorAll("article.finding")) {
        const figure = article.querySelector("figure svg");
        const sizes = article.querySelector("dt.key-drawn") && article.querySelector("dt.key-listed");
        const counted = [...article.querySelectorAll("dt.key-drawn + dd b")].some((b) => /^\d+$/.test(b.textContent));
        if (figure && sizes && !counted && !figure.querySelector(".mark.drawn")) {
          faults.push(`${article.id}: the drawn size is not dimensioned`);
        }
        if (figure && sizes && !counted && !article.querySelector("figure .mark.listed")) {
          faults.push(`${article.id}: the listed size is not dimensioned`);
        }
      }
      return faults;
    });
    assert.deepEqual(faults, []);
    // On a narrow screen the picture is scrolled rather than shrunk beyond reading.
    await page.setViewport({ width: 360, height: 780 });
    const small = await page.$$eval("svg.picture text", (all) => all
      .map((text) => text.getBoundingClientRect())
      .filter((box) => Math.min(box.width, box.height) < 9).length);
    assert.equal(small, 0, "texts too small on a narrow screen");
    await page.setViewport(WIDE);
    // In a table a state is a sign and a word as well.
    const bare = await page.$$eval("td.agrees, td.disagrees, td.unchecked", (all) => all
      .filter((cell) => !/[✓✗?]/.test(cell.textContent) || !cell.querySelector(".unseen"))
      .map((cell) => cell.outerHTML));
    assert.deepEqual(bare.slice(0, 3), []);
    for (const [at, figure] of (await page.$$("article.finding figure")).slice(0, 6).entries()) {
      await figure.screenshot({ path: path.join(pictures, `figure-${name}-${at + 1}.png`) });
    }
  });

  test(`report of ${name}: on paper, in grey`, async (browser) => {
    const page = await tab(browser);
    await page.goto(report(`${name}-paper`, job));
    await page.emulateMediaType("print");
    // What is between the margins of 15 mm, in CSS pixels of 1/96 in.
    for (const [paper, width] of [["A4", 210], ["letter", 215.9]]) {
      const room = Math.floor((width - 30) / 25.4 * 96);
      await page.setViewport({ width: room, height: 1000 });
      const wide = await page.evaluate(() => Math.max(document.documentElement.scrollWidth,
        ...[...document.querySelectorAll(".wide, table, svg, pre")].map((at) => Math.ceil(at.getBoundingClientRect().right))));
      assert.ok(wide <= room + 1, `${paper}: ${wide} px in ${room}`);
      const file = path.join(home, `${name}-${paper}.pdf`);
      await page.pdf({ path: file, format: paper, preferCSSPageSize: false, printBackground: false });
      const text = execFileSync("pdftotext", ["-layout", file, "-"]).toString();
      assert.match(text, /Cut list against drawing/);
      const found = await page.$$eval("article.finding", (all) => all.length);
      for (let at = 1; at <= Math.min(found, 5); at += 1) assert.match(text, new RegExp(`F${at}\\b`));
      // The first sheet is put to use.
      const first = execFileSync("pdftotext", ["-l", "1", file, "-"]).toString();
      assert.match(first, found > 0 ? /F1\b/ : /None\./);
      const small = await page.$$eval("svg.picture text", (all) => all
        .map((text) => text.getBoundingClientRect())
        .filter((box) => Math.min(box.width, box.height) < 9).length);
      assert.equal(small, 0, `${paper}: texts too small in pictures`);
      if (paper === "A4") {
        execFileSync("pdftoppm", ["-gray", "-r", "60", "-l", "3", "-png", file, path.join(pictures, `paper-${name}`)]);
        // No sheet of the first three is empty: something darker than paper on each.
        for (const sheet of readdirSync(pictures).filter((n) => n.startsWith(`paper-${name}-`))) {
          assert.ok(readFileSync(path.join(pictures, sheet)).length > 2000, sheet);
        }
      }
    }
  });
}

test("report: names from the list are text", async (browser) => {
  const page = await tab(browser);
  await page.goto(report("strange", strangeNames()));
  assert.equal(await page.$$eval("img", (all) => all.length), 0);
  assert.notEqual(await page.title(), "1");
  assert.ok((await page.content()).includes("&lt;img src=x onerror="));
  assert.deepEqual(page.faults, []);
});
