// What a maker without a terminal takes away: sheet, cost, label and card of a formula, the book of the workroom; labels
// true to the millimetre; versions that begin to be kept; and a record that cannot be read, mended from its page.

import assert from "node:assert/strict";
import { execFileSync } from "node:child_process";
import fs from "node:fs";
import path from "node:path";
import { after, test } from "node:test";
import { inflateRawSync } from "node:zlib";
import { accessible, close, fits, looks, printed, visit } from "../common/browser.mjs";
import { open } from "../common/open.mjs";
import { LEFT, workroom } from "../common/program.mjs";

after(close);

const FILE = "for-sale.still";
const NAME = "calendula-balm-sold";

/** The address of a page of a workroom, with the token. */
const to = (opened, page) => opened.address.replace("/?", `${page}${page.includes("?") ? "&" : "?"}`);

/** What is saved by whatever `act` does: its name, and where it lies. */
async function saved(page, act, as) {
  const [download] = await Promise.all([page.waitForEvent("download"), act()]);
  assert.equal(await download.failure(), null);
  const file = path.join(LEFT, "taken", as ?? download.suggestedFilename());
  fs.mkdirSync(path.dirname(file), { recursive: true });
  await download.saveAs(file);
  return { name: download.suggestedFilename(), file };
}

/** Goes by the key until what is wanted has the focus. */
async function tabTo(page, wanted) {
  for (let tab = 0; tab < 400; tab += 1) {
    if (await wanted.evaluate((it) => it === document.activeElement)) return;
    await page.keyboard.press("Tab");
  }
  assert.fail("the key never came there");
}

test("a formula is taken away by keyboard, and what was saved is read without the program", async (t) => {
  const room = workroom(t);
  const opened = await open(t, room.folder);
  const files = {};
  await visit(to(opened, `/formula/${FILE}/${NAME}`), async (page) => {
    const region = page.getByRole("region", { name: "To take away", exact: true });
    await page.getByRole("textbox", { name: "Batch", exact: true }).fill("5x30g");
    const link = (name) => region.getByRole("link", { name, exact: true });
    const by = (wanted, key) => async () => {
      await tabTo(page, wanted);
      await page.keyboard.press(key);
    };
    await page.getByRole("textbox", { name: "Formula text" }).focus();
    await page.keyboard.press("Escape");
    files.sheet = await saved(page, by(link("Download the sheet"), "Enter"));
    files.cost = await saved(page, by(link("Download the cost"), "Enter"));
    await region.getByRole("combobox", { name: "Card as" }).selectOption("svg");
    const card = region.getByRole("button", { name: "Download the card" });
    files.with = await saved(page, by(card, "Enter"), "with.svg");
    await region.getByRole("checkbox", { name: "with figures" }).uncheck();
    files.without = await saved(page, () => card.click(), "without.svg");
    await region.getByRole("combobox", { name: "Card as" }).selectOption("png");
    files.picture = await saved(page, () => card.click());
    // The page stays where it is, and what was asked of it stands there still.
    assert.equal(await page.getByRole("textbox", { name: "Batch", exact: true }).inputValue(), "5x30g");
    await accessible(page);
  });
  assert.deepEqual([files.sheet, files.cost, files.picture].map((file) => file.name), [`${NAME}-sheet.html`, `${NAME}-cost.html`, `${NAME}-card.png`]);
  const text = (file) => fs.readFileSync(file.file, "utf8");
  assert.ok(text(files.with).includes("%") && text(files.with).length > text(files.without).length);
  assert.equal(fs.readFileSync(files.picture.file).subarray(1, 4).toString(), "PNG");
  await visit(files.sheet.file, async (page) => {
    await page.getByRole("table", { name: "Weigh" }).first().waitFor();
    await page.getByText("5 x 30 g").first().waitFor();
  });
  await visit(files.cost.file, async (page) => {
    await page.getByRole("heading", { level: 1, name: /What it costs/ }).waitFor();
  });
});

/** Unpacks a file by its central directory (APPNOTE 6.3, sections 4.3.7 and 4.3.12): deflated, or as it is. */
function unpack(file, folder) {
  const all = fs.readFileSync(file);
  const end = all.lastIndexOf(Buffer.from("PK\x05\x06", "latin1"));
  let at = all.readUInt32LE(end + 16);
  for (let left = all.readUInt16LE(end + 10); left > 0; left -= 1) {
    const [method, size] = [all.readUInt16LE(at + 10), all.readUInt32LE(at + 20)];
    const [name, extra, comment, head] = [all.readUInt16LE(at + 28), all.readUInt16LE(at + 30), all.readUInt16LE(at + 32), all.readUInt32LE(at + 42)];
    const called = all.toString("utf8", at + 46, at + 46 + name);
    const begin = head + 30 + all.readUInt16LE(head + 26) + all.readUInt16LE(head + 28);
    const bytes = all.subarray(begin, begin + size);
    fs.mkdirSync(path.join(folder, path.dirname(called)), { recursive: true });
    fs.writeFileSync(path.join(folder, called), method === 8 ? inflateRawSync(bytes) : bytes);
    at += 46 + name + extra + comment;
  }
}

test("once a formula has another name, what is taken away is of that name", async (t) => {
  const room = workroom(t);
  const opened = await open(t, room.folder);
  await visit(to(opened, "/formula/balm.still/calendula-balm"), async (page) => {
    const text = page.getByRole("textbox", { name: "Formula text" });
    await text.fill((await text.inputValue()).replace("formula calendula-balm ", "formula salve "));
    await page.getByRole("button", { name: "Save", exact: true }).click();
    await page.waitForURL(/\/formula\/balm\.still\/salve/);
    const sheet = await saved(page, () => page.getByRole("link", { name: "Download the sheet" }).click());
    assert.equal(sheet.name, "salve-sheet.html");
    const card = await saved(page, () => page.getByRole("button", { name: "Download the card" }).click());
    assert.equal(card.name, "salve-card.png");
    assert.match(await page.getByRole("link", { name: "New variant" }).getAttribute("href"), /formula=salve/);
  });
});

test("the book is one file to unpack, and is read from there", async (t) => {
  const room = workroom(t, { git: true });
  const opened = await open(t, room.folder);
  let book;
  await visit(opened.address, async (page) => {
    book = await saved(page, () => page.getByRole("link", { name: "Download the book" }).click());
  });
  assert.equal(book.name, "book.zip");
  const there = room.path("unpacked");
  unpack(book.file, there);
  await visit(path.join(there, "book", "index.html"), async (page) => {
    await page.getByRole("heading", { level: 1, name: "Book" }).waitFor();
    await page.getByRole("region", { name: "Formulas" }).getByRole("link", { name: "Mandelic gel" }).click();
    await page.getByRole("heading", { level: 1, name: "Mandelic gel" }).waitFor();
    await page.getByRole("region", { name: "Versions" }).getByText("first written").waitFor();
  });
});

/** A millimetre in the browser's units: 96 to an inch of 25.4 mm (CSS Values and Units, 5.2). */
const MM = 96 / 25.4;

test("a label is laid out in millimetres that are asked for, and printed true to them", async (t) => {
  const room = workroom(t);
  const opened = await open(t, room.folder);
  await visit(to(opened, `/formula/${FILE}/${NAME}`), async (page) => {
    await page.getByRole("link", { name: "Label to print" }).click();
    const box = (name) => page.getByRole("textbox", { name, exact: true });
    const lay = page.getByRole("button", { name: "Lay it out" });
    await page.getByRole("combobox", { name: "Market" }).selectOption("eu");
    await lay.click();
    await page.getByRole("button", { name: "Copy the text" }).first().waitFor();
    assert.equal(await page.locator(".paper svg").count(), 0, "without a size there is no sheet");
    for (const [paper, width, height] of [["a4", 210, 297], ["letter", 215.9, 279.4]]) {
      await box("Width, mm").fill("90,5");
      await box("Height, mm").fill("60");
      await page.getByRole("combobox", { name: "Paper" }).selectOption(paper);
      await page.keyboard.press("Enter");
      await lay.click();
      await page.waitForURL(new RegExp(`width=90%2C5&height=60&paper=${paper}&market=eu`));
      assert.equal(await box("Width, mm").inputValue(), "90,5", "what was asked stays");
      await fits(page);
      await accessible(page);
      await page.emulateMedia({ media: "print" });
      const boxes = await page.locator(".paper svg use").evaluateAll((all) => all.map((one) => one.getBoundingClientRect().toJSON()));
      assert.ok(boxes.length >= 4, `${boxes.length} labels`);
      for (const one of boxes) {
        assert.ok(Math.abs(one.width / MM - 90.5) < 0.2 && Math.abs(one.height / MM - 60) < 0.2, JSON.stringify(one));
      }
      assert.ok(await page.getByRole("button", { name: "Lay it out" }).isHidden(), "the form is not printed");
      const { file } = await printed(page, `label-page-${paper}`, { format: paper === "a4" ? "A4" : "Letter" });
      const told = execFileSync("pdfinfo", ["-f", "1", "-l", "99", file], { encoding: "utf8" });
      const point = 72 / 25.4;
      const sizes = [...told.matchAll(/Page\s+\d+ size:\s+([\d.]+) x ([\d.]+) pts/g)].map((one) => [Number(one[1]) / point, Number(one[2]) / point]);
      assert.ok(sizes.length > 1 && sizes.every(([wide, high]) => Math.abs(wide - width) < 0.5 && Math.abs(high - height) < 0.5), JSON.stringify(sizes));
      await page.emulateMedia({ media: "screen" });
    }
    const taken = await saved(page, () => page.getByRole("button", { name: "Download the label" }).click());
    assert.equal(taken.name, `${NAME}-label.html`);
    // What is no size is told beside its box, and stays in it.
    await box("Width, mm").fill("wide");
    await lay.click();
    await page.getByRole("alert").filter({ hasText: "wide" }).waitFor();
    assert.equal(await box("Width, mm").inputValue(), "wide");
    await accessible(page);
    // What does not fit is named.
    await box("Width, mm").fill("20");
    await box("Height, mm").fill("10");
    await lay.click();
    await page.getByRole("list", { name: "Faults of the label" }).getByRole("listitem").first().waitFor();
  });
});

test("versions begin to be kept from a page, and the formula's page has them", async (t) => {
  const room = workroom(t);
  const opened = await open(t, room.folder);
  await visit(to(opened, "/formula/acid-gel.still/acid-gel"), async (page) => {
    assert.equal(await page.getByRole("button", { name: "Save and commit" }).count(), 0);
    await page.getByRole("region", { name: "Versions" }).getByText("Earlier versions are not kept").waitFor();
    await page.getByRole("link", { name: "Begin keeping versions" }).click();
    await accessible(page);
    await page.getByRole("textbox", { name: "Your name" }).fill("A maker");
    await page.keyboard.press("Enter");
    await page.getByText("Versions are kept from now on").waitFor();
    await accessible(page);
    await page.getByRole("link", { name: "Go on" }).click();
    await page.getByRole("button", { name: "Save and commit" }).waitFor();
    assert.equal(await page.getByText("Earlier versions are not kept").count(), 0);
    await page.waitForFunction(() => document.querySelectorAll("#older option[data-commit]").length > 0);
  });
  assert.equal(room.git("log", "--format=%an: %s").trim(), "A maker: The formulas as they are");
  assert.equal(room.git("status", "--porcelain", "*.still").trim(), "");
});

test("a record that cannot be read is mended from its page", async (t) => {
  const room = workroom(t);
  const sound = room.read("acid-gel-batches.still");
  room.write("acid-gel-batches.still", sound.replace("batch ag-1114 {", "batch AG_1114 {"));
  const opened = await open(t, room.folder);
  await visit(opened.address, async (page) => {
    await page.getByRole("list", { name: "What cannot be read" }).getByRole("link").click();
    await page.getByRole("heading", { level: 1, name: "AG_1114" }).waitFor();
    await page.getByRole("region", { name: "Faults" }).getByRole("listitem").filter({ hasText: "AG_1114" }).waitFor();
    await page.locator("mark").filter({ hasText: "batch AG_1114" }).waitFor();
    await accessible(page);
    await page.getByRole("link", { name: "Mend it in its text" }).click();
    const text = page.getByRole("textbox", { name: "Formula text" });
    await text.fill((await text.inputValue()).replace("batch AG_1114 {", "batch ag-1114 {"));
    await page.getByRole("button", { name: "Save", exact: true }).click();
    await page.getByText("All of it is saved.", { exact: true }).waitFor();
    await page.goto(`${opened.origin}/batch/acid-gel-batches.still/ag-1114`);
    await page.getByRole("heading", { level: 1, name: /ag-1114.*acid-gel/ }).waitFor();
  });
  assert.equal(room.read("acid-gel-batches.still"), sound);
});

test("a file that was taken away while its text stood in a page is made anew by “Keep mine”", async (t) => {
  const room = workroom(t);
  const opened = await open(t, room.folder);
  await visit(to(opened, "/formula/balm.still/calendula-balm"), async (page) => {
    const text = page.getByRole("textbox", { name: "Formula text" });
    await text.fill(`${await text.inputValue()}# mine\n`);
    fs.rmSync(room.path("balm.still"));
    await page.getByRole("button", { name: "Save", exact: true }).click();
    await page.getByRole("button", { name: "Keep mine" }).click();
    await page.getByText("All of it is saved.", { exact: true }).waitFor();
  }, { expected: [/status of 40[49]/, /Failed to load resource/] });
  assert.match(room.read("balm.still"), /# mine\n$/);
});

test("they are fit to be looked at, on every width, light and dark", async (t) => {
  const room = workroom(t, { files: { "broken.still": "use shelf/all\n\nbatch Odd_1 {\n  formula gel\n  note \"<b>\n}\n" } });
  const opened = await open(t, room.folder);
  await looks(opened.address, "workroom");
  await looks(to(opened, `/label/${FILE}/${NAME}?width=60&height=40&paper=a4&market=eu`), "label-page");
  await looks(to(opened, "/versions/begin"), "versions-begin");
  await looks(to(opened, "/batch/broken.still/Odd_1"), "record-unread");
  await looks(to(opened, `/formula/${FILE}/${NAME}`), "formula-taken", async (page) => {
    await page.getByRole("region", { name: "To take away" }).scrollIntoViewIfNeeded();
  });
});
