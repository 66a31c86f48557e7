// The label in one file: its text to be copied, its blanks framed, its sheet of labels true to the millimetre.

import assert from "node:assert/strict";
import { execFileSync } from "node:child_process";
import { after, test } from "node:test";
import { close, looks, printed, visit } from "../common/browser.mjs";
import { program, workroom } from "../common/program.mjs";

after(close);

function label(t, words, files = {}) {
  const room = workroom(t, { files });
  const run = (more) => {
    try {
      return execFileSync(program(), ["label", ...words, ...more], { cwd: room.folder, encoding: "utf8", stdio: ["ignore", "pipe", "ignore"] });
    } catch (fault) {
      // What does not fit on a label, or is missing on it, is an error; it is printed all the same.
      return fault.stdout;
    }
  };
  room.write("label.html", run(["--format", "html"]));
  return { room, json: () => JSON.parse(run(["--format", "json"])), page: room.path("label.html") };
}

const NAMED = ["for-sale.still", "--formula", "day-cream-sold", "--market", "eu"];

test("the text is copied by a button, and is that of the label", async (t) => {
  const { json, page: file } = label(t, NAMED);
  await visit(file, async (page, context) => {
    await context.grantPermissions(["clipboard-read", "clipboard-write"]);
    await page.getByRole("button", { name: "Copy the text" }).first().click();
    await page.getByText("The text is copied.").waitFor();
    const copied = await page.evaluate(() => navigator.clipboard.readText());
    const wanted = json().labels[0].jar.map((paragraph) => paragraph.text).join("\n");
    assert.equal(copied.replaceAll("\r\n", "\n"), `${wanted}\n`);
    const rows = await page.getByRole("table", { name: "What stands where" }).getByRole("row").count();
    assert.equal(rows, json().labels[0].items.length + 1);
  });
});

/** A millimetre in the browser's units: 96 to an inch of 25.4 mm (CSS Values and Units, 5.2). */
const MM = 96 / 25.4;

test("labels are as large as they were asked for, on the screen and on paper", async (t) => {
  for (const [paper, width, height] of [["a4", 210, 297], ["letter", 215.9, 279.4]]) {
    const { page: file } = label(t, [...NAMED, "--size", "90x60mm", "--sheet", paper]);
    await visit(file, async (page) => {
      const sheet = await page.locator(".paper svg").first().evaluate((own) => own.getBoundingClientRect().toJSON());
      assert.ok(Math.abs(sheet.width / MM - width) < 0.1 && Math.abs(sheet.height / MM - height) < 0.1, JSON.stringify(sheet));
      await page.emulateMedia({ media: "print" });
      const boxes = await page.locator(".paper svg use").evaluateAll((all) => all.map((one) => one.getBoundingClientRect().toJSON()));
      assert.ok(boxes.length >= 6);
      for (const box of boxes) {
        // The rule of a tenth of a millimetre around it lies half outside.
        assert.ok(Math.abs(box.width / MM - 90) < 0.2 && Math.abs(box.height / MM - 60) < 0.2, JSON.stringify(box));
      }
      const step = boxes.find((box) => box.x > boxes[0].x + 1).x - boxes[0].x;
      assert.ok(Math.abs(step / MM - 90) < 0.05, `${step / MM} mm from one to the next`);
      const { file: pdf } = await printed(page, `label-${paper}`, { format: paper === "a4" ? "A4" : "Letter" });
      const told = execFileSync("pdfinfo", ["-f", "1", "-l", "99", pdf], { encoding: "utf8" });
      const sizes = [...told.matchAll(/Page\s+\d+ size:\s+([\d.]+) x ([\d.]+) pts/g)].map((one) => [Number(one[1]), Number(one[2])]);
      const point = 72 / 25.4;
      const right = ([wide, high]) => Math.abs(wide / point - width) < 0.5 && Math.abs(high / point - height) < 0.5;
      assert.ok(sizes.length > 0 && sizes.every(right), JSON.stringify(sizes));
    });
  }
});

test("whatever stands on a label is text", async (t) => {
  const hostile = `<img src=x onerror=alert(1)>"&'`;
  const text = `use shelf/all\nformula odd {\n  title ${JSON.stringify(hostile)}\n  version "1"\n  makes 30 g\n  scale 0.01 g\n  product leave-on face\n  market eu\n  phase A {\n    squalane q.s.\n    jojoba-oil 30 %\n  }\n}\n`;
  const { page: file } = label(t, ["odd.still"], { "odd.still": text });
  await visit(file, async (page) => {
    assert.equal(await page.getByRole("heading", { level: 1 }).innerText(), hostile);
    assert.equal(await page.locator("img").count(), 0);
    assert.ok((await page.locator(".frame").count()) > 0, "what is not known stands in a frame");
  });
});

test("it is fit to be looked at, on every width, light and dark", async (t) => {
  const { page: file } = label(t, [...NAMED, "--size", "90x60mm"]);
  await looks(file, "label");
});
