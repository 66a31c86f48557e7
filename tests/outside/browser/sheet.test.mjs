// The sheet in one file: filled in, reloaded, handed out and checked by the program, printed, looked at.

import assert from "node:assert/strict";
import { execFileSync } from "node:child_process";
import fs from "node:fs";
import path from "node:path";
import { after, test } from "node:test";
import { accessible, close, looks, printed, visit } from "../common/browser.mjs";
import { LEFT, program, workroom } from "../common/program.mjs";

after(close);

/** The sheet of a formula of the examples: its page on the disk, and the same as JSON. */
function sheet(t, file, words = [], files = {}) {
  const room = workroom(t, { files });
  const run = (more) => execFileSync(program(), ["sheet", file, ...words, ...more], { cwd: room.folder, encoding: "utf8", stdio: ["ignore", "pipe", "ignore"] });
  const json = JSON.parse(run(["--format", "json"]));
  room.write("sheet.html", run(["--format", "html"]));
  return { room, json, page: room.path("sheet.html"), lines: json.phases.flatMap((phase) => phase.lines) };
}

const called = (line) => line.title ?? line.material;
const named = (page, role, name) => page.getByRole(role, { name, exact: true });

/** The rows of the readings after the head: before any, and one for each addition. */
const row = (page, number) => named(page, "table", "Readings").getByRole("row").nth(number + 1);

/** Fills the gel in up to the window, with a comma and with a point. */
async function fillIn(page, lines) {
  await page.getByLabel("Batch code").fill("MG-1");
  await page.getByLabel("Made on").fill("2026-11-29");
  for (const line of lines.filter((one) => !one.at_bench)) {
    await named(page, "checkbox", `${called(line)} weighed`).check();
    await named(page, "textbox", `${called(line)}, g`).fill((line.first_weighing_g ?? line.grams).replace(".", ","));
  }
  for (const line of lines) await named(page, "textbox", `${called(line)}, lot`).fill(`L "${line.material}"`);
}

const record = (page) => page.getByLabel("The record as text").inputValue();

/** What the program says of a record by itself, in a file of its own beside the formula's. */
function check(room, text, name = "handed-out.still") {
  room.write(name, text);
  return JSON.parse(execFileSync(program(), ["check", name, "--format", "json"], { cwd: room.folder, encoding: "utf8" }));
}

test("what was typed is there after a reload, and is handed out as a record that checks", async (t) => {
  const { room, page: file, lines } = sheet(t, "acid-gel.still");
  await visit(
    file,
    async (page, context) => {
      await context.grantPermissions(["clipboard-read", "clipboard-write"]);
      await fillIn(page, lines);
      await row(page, 0).getByRole("textbox", { name: "pH read" }).fill("2,25");
      const next = named(page, "status", "Next addition");
      const first = (await next.innerText()).match(/([\d.]+) g/);
      assert.ok(first, await next.innerText());
      await row(page, 1).getByRole("textbox", { name: "Added, g" }).fill(first[1]);
      await assert.doesNotReject(next.getByText("read", { exact: false }).first().waitFor());
      await row(page, 1).getByRole("textbox", { name: "pH read" }).fill("3.50");
      const second = (await next.innerText()).match(/([\d.]+) g/);
      assert.ok(second && Number(second[1]) > 0, await next.innerText());
      await row(page, 2).getByRole("textbox", { name: "Added, g" }).fill(second[1]);
      await row(page, 2).getByRole("textbox", { name: "pH read" }).fill("3,80");
      const used = Number(first[1]) + Number(second[1]);
      const held = Number(lines.find((line) => line.held_back_g).held_back_g);
      const left = (held - used).toFixed(2);
      assert.match(await named(page, "status", "Top up").innerText(), new RegExp(`${left.replace(".", "\\.")} g`));
      await page.getByLabel("Topped up, g").fill(left.replace(".", ","));
      await page.getByLabel(/^pH, last of all/).fill("3.81");
      await page.getByLabel(/^Yield/).fill("19,50");

      const before = await record(page);
      await page.reload();
      assert.equal(await record(page), before, "a reload keeps all of it");
      assert.equal(await named(page, "checkbox", "Propanediol weighed").isChecked(), true);

      await named(page, "button", "Copy the record").click();
      await page.getByText("The record is copied").waitFor();
      const copied = await page.evaluate(() => navigator.clipboard.readText());
      assert.equal(copied.replaceAll("\r\n", "\n"), before);
      const [saved] = await Promise.all([page.waitForEvent("download"), named(page, "button", "Save the record").click()]);
      assert.equal(saved.suggestedFilename(), "mg-1.still");
      assert.equal(fs.readFileSync(await saved.path(), "utf8"), before);

      // By itself, for the plan is in it; and pasted into the file of the formula.
      assert.deepEqual(check(room, copied).diagnostics, []);
      const pasted = check(room, `${room.read("acid-gel.still")}\n${copied}`, "acid-gel.still");
      assert.deepEqual(pasted.diagnostics.filter((one) => one.level !== "note"), []);
      const bench = JSON.parse(execFileSync(program(), ["bench", "handed-out.still", "--format", "json"], { cwd: room.folder, encoding: "utf8" }));
      assert.equal(bench.adjuster_used_g, used.toFixed(2));
      assert.equal(bench.ph_last, 3.81);
    },
  );
});

/** What the bench says of the gel, weighed in up to the pH and then as `said`: what to add next, in grams, or null. */
function asked(room, lines, said) {
  const weighed = lines.filter((line) => !line.at_bench).slice(0, 4);
  const all = [...weighed.map((line) => `weighed ${line.material} ${line.first_weighing_g ?? line.grams} g`), ...said];
  room.write("now.still", `use "acid-gel.still"\n\nbatch now {\n  formula acid-gel\n  size 20.00 g\n  ${all.join("\n  ")}\n}\n`);
  let told = "";
  try {
    told = execFileSync(program(), ["bench", "now.still", "--format", "json"], { cwd: room.folder, encoding: "utf8" });
  } catch (refused) {
    told = refused.stdout;
  }
  const { next_addition: addition } = JSON.parse(told);
  return addition ? Number(addition.grams) : null;
}

/** What the page says to add next, in grams, or null; and its words. */
async function nextOn(page) {
  const words = await named(page, "status", "Next addition").innerText();
  const found = words.match(/[Aa]dd ([\d.]+) g/);
  return { grams: found ? Number(found[1]) : null, words };
}

const A_STEP = 0.0101;

test("the next addition is that of the bench, at each hundredth before anything was added", async (t) => {
  const { room, page: file, lines } = sheet(t, "acid-gel.still");
  // Every reading that may be, by steps that fall on tens and between them.
  const readings = Array.from({ length: 30 }, (_, number) => (1.5 + number * 0.041).toFixed(2));
  let additions = 0;
  await visit(file, async (page) => {
    for (const reading of readings) {
      await row(page, 0).getByRole("textbox", { name: "pH read" }).fill(reading);
      const { grams, words } = await nextOn(page);
      const wanted = asked(room, lines, [`reading pH ${reading}`]);
      assert.ok(grams === wanted || Math.abs((grams ?? NaN) - wanted) < A_STEP, `${reading}: ${words} The bench says ${wanted} g.`);
      if (grams !== null) {
        additions += 1;
        assert.doesNotMatch(words, /between its rows/);
      }
    }
  });
  assert.ok(additions >= 20, `${additions} additions`);
});

test("between two rows the sheet takes the smaller, says so, and never goes over the bench", async (t) => {
  const { room, page: file, lines } = sheet(t, "acid-gel.still");
  let between = 0;
  await visit(file, async (page) => {
    const first = row(page, 0).getByRole("textbox", { name: "pH read" });
    const second = row(page, 1);
    for (const [before, added] of [["2.25", "2.86"], ["2.31", "2.20"], ["2.13", "2.41"]]) {
      await first.fill(before);
      await second.getByRole("textbox", { name: "Added, g" }).fill(added);
      for (const reading of ["3.11", "3.18", "3.24", "3.33", "3.37", "3.42", "3.46", "3.51", "3.53", "3.57"]) {
        await second.getByRole("textbox", { name: "pH read" }).fill(reading);
        const { grams, words } = await nextOn(page);
        const wanted = asked(room, lines, [`reading pH ${before}`, `added soda-2 ${added} g`, `reading pH ${reading}`]);
        if (grams === null || wanted === null) continue;
        assert.ok(grams <= wanted + A_STEP, `${before}, ${added} g, ${reading}: ${words} The bench says ${wanted} g.`);
        if (/between its rows: it is the smallest that they say, for what is added cannot be taken out/.test(words)) between += 1;
      }
    }
  });
  assert.ok(between >= 10, `${between} readings lie between two rows`);
});

test("outside its table the sheet says so, and guesses nothing", async (t) => {
  const { page: file } = sheet(t, "acid-gel.still");
  await visit(file, async (page) => {
    const next = named(page, "status", "Next addition");
    await row(page, 0).getByRole("textbox", { name: "pH read" }).fill("6.9");
    assert.match(await next.innerText(), /outside the table/);
    assert.doesNotMatch(await next.innerText(), /Add \d/);
    await row(page, 0).getByRole("textbox", { name: "pH read" }).fill("two");
    assert.match(await page.getByText("A figure is wanted").innerText(), /12,50/);
    await page.getByLabel("Propanediol, g", { exact: true }).fill("1,500");
    await page.getByText("may be a thousand or a fraction").waitFor();
  });
});

test("of a meter that is off, and of other weights, the table says nothing", async (t) => {
  const { page: file } = sheet(t, "acid-gel.still");
  await visit(file, async (page) => {
    const next = named(page, "status", "Next addition");
    await row(page, 0).getByRole("textbox", { name: "pH read" }).fill("2.25");
    assert.match(await next.innerText(), /Add \d/);
    const buffer = page.getByLabel(/^It shows the buffer/);
    await buffer.fill("4.20");
    assert.match(await next.innerText(), /shows the buffer of pH 4.01 as 4.20/);
    assert.doesNotMatch(await next.innerText(), /[Aa]dd \d/);
    await buffer.fill("4.03");
    assert.match(await next.innerText(), /Add \d/);
    await named(page, "textbox", "Mandelic acid powder, g").fill("0.46");
    assert.match(await next.innerText(), /0.46 g of Mandelic acid powder were weighed in place of 0.40 g/);
    assert.doesNotMatch(await next.innerText(), /[Aa]dd \d/);
  });
});

test("past the window nothing more of the base goes in", async (t) => {
  const { page: file } = sheet(t, "acid-gel.still");
  await visit(file, async (page) => {
    await row(page, 0).getByRole("textbox", { name: "pH read" }).fill("2.10");
    await row(page, 1).getByRole("textbox", { name: "Added, g" }).fill("4.30");
    await row(page, 1).getByRole("textbox", { name: "pH read" }).fill("4.35");
    const words = await named(page, "status", "Next addition").innerText();
    assert.match(words, /is past the window: no more of Sodium hydroxide stock/);
    assert.match(words, /leads back|stillroom bench/);
  });
});

test("it asks before it starts anew", async (t) => {
  const { page: file } = sheet(t, "balm.still");
  await visit(file, async (page) => {
    const box = page.getByRole("checkbox", { name: /weighed$/ }).first();
    await box.check();
    page.once("dialog", (dialog) => dialog.dismiss());
    await named(page, "button", "Start anew").click();
    assert.equal(await box.isChecked(), true);
    page.once("dialog", (dialog) => dialog.accept());
    await named(page, "button", "Start anew").click();
    assert.equal(await box.isChecked(), false);
    await page.reload();
    assert.equal(await box.isChecked(), false);
  });
});

test("where nothing may be kept it says so", async (t) => {
  const { page: file } = sheet(t, "balm.still");
  await visit(
    file,
    async (page) => {
      await page.addInitScript(() => {
        Object.defineProperty(window, "localStorage", { get: () => { throw new Error("refused"); } });
      });
      await page.reload();
      await page.getByText("This browser keeps nothing").waitFor();
      await page.getByRole("checkbox", { name: /weighed$/ }).first().check();
      assert.match(await record(page), /weighed /);
    },
  );
});

/** The text of each side of a PDF. */
function sides(file) {
  return execFileSync("pdftotext", ["-layout", file, "-"], { encoding: "utf8" }).split("\f").slice(0, -1);
}

test("up to twelve lines it is one side to work by and one to look up, on A4 and on Letter", async (t) => {
  const all = [["acid-gel.still"], ["balm.still"], ["toner.still"], ["lactic-serum.still"], ["cleanser.still"], ["scalp-tonic.still"]];
  for (const [file, ...words] of all) {
    const { json, page: html, lines } = sheet(t, file, words);
    if (lines.length > 12) continue;
    for (const format of ["A4", "Letter"]) {
      await visit(html, async (page) => {
        const { file: pdf, sheets } = await printed(page, `sheet-${json.formula}-${format}`, { format });
        assert.equal(sheets, 2, `${json.formula} on ${format}`);
        const [front, back] = sides(pdf);
        const flat = front.replace(/\s+/g, " ");
        for (const line of lines) {
          if (line.grams) assert.ok(flat.includes(line.first_weighing_g ?? line.grams), `${called(line)}: ${line.grams}`);
          assert.ok(flat.includes(called(line).split(" ")[0]), called(line));
        }
        assert.ok(flat.includes(json.total_g) && flat.includes("Checked by"), "the whole working side is on the first");
        assert.ok(!flat.includes("Copy the record"), "no button is printed");
        const second = back.replace(/\s+/g, "");
        assert.ok(second.includes(json.digest.replace("sha256:", "").slice(0, 32)), "the digest is on the second");
        for (const substance of json.substances.slice(0, 3)) assert.ok(second.includes((substance.inci ?? substance.substance).replace(/\s+/g, "")));
      });
    }
  }
});

test("whatever a formula is called is text", async (t) => {
  const hostile = `<b onmouseover=alert(1)>"&'</b><script>alert(1)</script>`;
  const text = `use shelf/all\nformula odd {\n  title ${JSON.stringify(hostile + "\u202e")}\n  version "1<"\n  makes 30 g\n  scale 0.01 g\n  product leave-on face\n  phase A "</table><!--" {\n    squalane q.s. because "</script><img src=x onerror=alert(1)>"\n    jojoba-oil 30 %\n  }\n  steps {\n    "Stir {squalane} & <i>{jojoba-oil}</i>."\n  }\n}\n`;
  const { page: file } = sheet(t, "odd.still", [], { "odd.still": text });
  await visit(file, async (page) => {
    assert.equal(await page.getByRole("heading", { level: 1 }).innerText(), `${hostile}\\u{202e}`);
    assert.equal(await page.locator("img, b, i, main script:not([type])").count(), 0);
    await page.getByText("<img src=x onerror=alert(1)>").first().waitFor();
  });
});

test("it is fit to be looked at, on every width, light and dark", async (t) => {
  const { page: file } = sheet(t, "acid-gel.still");
  await looks(file, "sheet", async (page) => {
    await row(page, 0).getByRole("textbox", { name: "pH read" }).fill("2.25");
    await page.getByRole("checkbox", { name: "Propanediol weighed" }).check();
  });
  await visit(file, async (page) => {
    for (const width of [320, 390]) {
      await page.setViewportSize({ width, height: 700 });
      const wide = await page.evaluate(() => document.scrollingElement.scrollWidth);
      assert.ok(wide <= width, `${wide} at ${width}`);
    }
    await page.setViewportSize({ width: 640, height: 900 });
    await page.addStyleTag({ content: "html { font-size: 200%; }" }).catch(() => {});
    await accessible(page);
  });
  assert.ok(fs.existsSync(path.join(LEFT, "shots")));
});
