// A book as it is read from the disk: found by keyboard, every link leads somewhere, nothing is fetched, nothing writes, and
// whatever stands in a file stays text.

import assert from "node:assert/strict";
import fs from "node:fs";
import path from "node:path";
import { after, test } from "node:test";
import { accessible, close, fits, looks, visit } from "../common/browser.mjs";
import { run, workroom } from "../common/program.mjs";

after(close);

const HOSTILE = `<script>document.title="run"</script> & "it's" <img src=x onerror=alert(1)> \u202etfel`;
const MINE = `use shelf/all
material odd { name ${JSON.stringify(HOSTILE)}
  contains glycerin 100 % }
formula odd-gel {
  title ${JSON.stringify(HOSTILE)}
  version "1 <b>"
  makes 100 g
  scale 0.01 g
  phase A ${JSON.stringify(HOSTILE)} {
    odd 3 % because ${JSON.stringify(HOSTILE)}
    phenoxyethanol-ethylhexylglycerin 0.9 %
    water q.s.
  }
}
batch odd-1 {
  formula odd-gel
}
`;

/** A book of the examples and one file more. */
async function written(t, options = {}) {
  const room = workroom(t, options);
  const { code, stdout, stderr } = await run(t, ["book", ".", "--out", "book"], { folder: room.folder });
  assert.ok(code === 0 || (code === 1 && stderr), stderr);
  assert.match(stdout, /^\d+ pages, \d+ of them written\. Open `book\/index\.html` in a browser\.\n$/);
  return { room, folder: room.path("book"), first: room.path("book/index.html") };
}

const box = (page) => page.getByRole("searchbox", { name: "Find", exact: true });

test("a formula is found by keyboard alone, and its parts are there", async (t) => {
  const { first } = await written(t, { git: true });
  await visit(first, async (page) => {
    await page.getByRole("heading", { level: 1, name: "Book" }).waitFor();
    for (const name of ["Formulas", "Batches under way", "Planned", "Batches", "Materials"]) {
      await page.getByRole("region", { name, exact: true }).waitFor();
    }
    for (let tab = 0; tab < 12 && !(await box(page).evaluate((it) => it === document.activeElement)); tab += 1) {
      await page.keyboard.press("Tab");
    }
    await page.keyboard.type("mandelic gel");
    await page.getByRole("status").getByText("found").waitFor();
    await accessible(page);
    await page.keyboard.press("Enter");
    await page.getByRole("heading", { level: 1, name: "Mandelic gel" }).waitFor();
    for (const name of ["Sheet", "pH", "Label", "Cost", "Versions", "Batches"]) {
      await page.getByRole("region", { name, exact: true }).waitFor();
    }
    await page.getByRole("region", { name: "Versions" }).getByText("first written").waitFor();
    await page.getByRole("region", { name: "Batches" }).getByRole("link", { name: "ag-1114" }).click();
    await page.getByRole("heading", { level: 1, name: "Batch ag-1114" }).waitFor();
    await page.getByRole("region", { name: "Weighed" }).getByRole("link", { name: "propanediol" }).click();
    await page.getByRole("region", { name: "Used in" }).getByRole("link", { name: "Mandelic gel" }).waitFor();
    await page.getByRole("region", { name: "Lots" }).getByText("PD-09").waitFor();
    // Back at the first page, what was asked for is still answered, or the box is empty and so is the list.
    await page.getByRole("link", { name: "Book", exact: true }).click();
    // By a lot, and by the arrows.
    await box(page).fill("ma-17");
    await box(page).press("ArrowDown");
    await page.keyboard.press("Enter");
    await page.getByRole("heading", { level: 1 }).filter({ hasNotText: /^Book$/ }).waitFor();
    await page.goBack();
    await box(page).fill("nothing is called this");
    await page.getByRole("status").getByText("Nothing here is called that.").waitFor();
  });
});

test("the sheet has the weights that the command prints", async (t) => {
  const { room, folder } = await written(t);
  const { stdout } = await run(t, ["sheet", "acid-gel.still", "--formula", "acid-gel", "--format", "json"], { folder: room.folder });
  const sheet = JSON.parse(stdout);
  await visit(path.join(folder, "formula-acid-gel.html"), async (page) => {
    const table = page.getByRole("region", { name: "Sheet" }).getByRole("table", { name: "Weigh" });
    for (const line of sheet.phases.flatMap((phase) => phase.lines)) {
      const row = table.getByRole("row").filter({ hasText: line.title ?? line.material });
      await row.getByText(line.first_weighing_g ?? line.grams ?? "at the bench", { exact: false }).first().waitFor();
    }
    await table.getByText(sheet.total_g, { exact: true }).last().waitFor();
  });
});

test("every page is quiet, has nothing to write with, and leads only to pages that are there", async (t) => {
  const { folder } = await written(t, { files: { "odd.still": MINE } });
  const names = fs.readdirSync(folder);
  assert.ok(names.every((name) => /^[a-z0-9-]+\.html$/.test(name) && name.length < 200), names.join(" "));
  await visit(path.join(folder, "index.html"), async (page) => {
    for (const name of names) {
      await page.goto(`file://${path.join(folder, name)}`);
      const seen = await page.evaluate(() => ({
        links: [...document.querySelectorAll("a[href]")].map((link) => link.getAttribute("href")),
        ids: [...document.querySelectorAll("[id]")].map((element) => element.id),
        written: document.querySelectorAll("form, button, textarea, select, input:not([type=search])").length,
        headings: document.querySelectorAll("h1").length,
        scripts: [...document.scripts].filter((script) => !script.type).length,
        title: document.title,
      }));
      assert.equal(seen.written, 0, name);
      assert.equal(seen.headings, 1, name);
      assert.equal(seen.scripts, name === "index.html" ? 1 : 0, name);
      assert.equal(new Set(seen.ids).size, seen.ids.length, `${name} has an id twice`);
      for (const link of seen.links) {
        const [file, part] = link.split("#");
        assert.ok(!/^[a-z]+:|^\//i.test(link), `${name} leads to ${link}`);
        assert.ok(file === "" ? seen.ids.includes(part) : names.includes(file), `${name} leads to ${link}`);
      }
    }
  });
});

test("hostile texts stay text, on their pages and among what is found", async (t) => {
  const { first } = await written(t, { files: { "odd.still": MINE }, examples: false });
  await visit(first, async (page) => {
    await box(page).fill("onerror");
    const found = page.getByRole("listitem").filter({ hasText: "<script>" });
    await found.first().waitFor();
    assert.equal(await page.title(), "Book");
    assert.equal(await page.locator("main img, main b").count(), 0);
    assert.match(await found.first().textContent(), /\\u\{202e\}/);
    await box(page).press("Enter");
    await page.getByRole("heading", { level: 1, name: "<script>" }).waitFor();
    assert.match(await page.title(), /^<script>/);
    assert.equal(await page.locator("main img, main b").count(), 0);
    await accessible(page);
  });
});

test("it is looked at: three widths, light and dark", async (t) => {
  const { folder } = await written(t, { git: true });
  for (const name of ["index", "formula-day-cream-sold", "batch-ag-1114", "material-glycerin"]) {
    await looks(path.join(folder, `${name}.html`), `book-${name}`);
  }
  await looks(path.join(folder, "index.html"), "book-found", (page) => box(page).fill("cream"));
  // Letters of twice the size, at the narrowest phone.
  const narrow = { context: { viewport: { width: 320, height: 640 } } };
  for (const name of ["index", "formula-acid-gel", "batch-ag-1114"]) {
    await visit(path.join(folder, `${name}.html`), async (page) => {
      await page.addStyleTag({ content: "html { font-size: 200%; }" });
      await fits(page, name);
    }, narrow);
  }
});
