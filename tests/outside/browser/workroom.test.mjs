// The workroom and the store room on a small screen and with large letters; the page of a file without a formula.

import assert from "node:assert/strict";
import { after, test } from "node:test";
import { accessible, close, fits, looks, visit } from "../common/browser.mjs";
import { open } from "../common/open.mjs";
import { workroom } from "../common/program.mjs";

after(close);

const SMALL = { viewport: { width: 320, height: 640 }, isMobile: true, hasTouch: true };

test("every file has a page: its faults are told, it is saved and committed", async (t) => {
  const room = workroom(t, { git: true });
  const opened = await open(t, room.folder);
  await visit(opened.address, async (page) => {
    await page.getByRole("region", { name: "Files" }).getByRole("link", { name: "materials.still" }).click();
    await page.getByRole("heading", { level: 1, name: "materials.still" }).waitFor();
    const text = page.getByRole("textbox", { name: "Text", exact: true });
    const faults = page.getByRole("region", { name: "Faults" });
    await faults.getByText(/Nothing is wrong|note|warning/).first().waitFor();
    const was = room.read("materials.still");
    await text.fill(was.replace("8.90 EUR", "8,90 EUR"));
    await faults.getByRole("listitem").filter({ hasText: "decimal comma" }).getByRole("button", { name: "Mend" }).click();
    assert.equal(await text.inputValue(), was);
    const now = was.replace("8.90 EUR", "9.20 EUR");
    await text.fill(now);
    const what = page.getByRole("textbox", { name: "What changed" });
    await page.waitForFunction(() => document.getElementById("what-changed").value !== "");
    await what.fill("Glycerin is dearer");
    await page.getByRole("button", { name: "Save and commit" }).click();
    await page.getByText(/Saved, and committed as/).waitFor();
    assert.equal(room.read("materials.still"), now);
    assert.match(room.git("log", "--format=%s", "-1"), /Glycerin is dearer/);
    await accessible(page, "the page of a file");
    // Another text is met here as on the page of a formula.
    room.write("materials.still", was);
    await text.fill(now.replace("9.20", "9.40"));
    await page.getByRole("button", { name: "Save", exact: true }).click();
    await page.getByRole("region", { name: "Lines that differ" }).filter({ hasText: "9.40" }).filter({ hasText: "8.90" }).waitFor();
    await page.getByRole("button", { name: "Keep mine" }).click();
    await page.getByText("All of it is saved.", { exact: true }).waitFor();
    assert.match(room.read("materials.still"), /9\.40 EUR/);
  }, { expected: [/Failed to load resource/] });
});

test("a batch that is done is found in the workroom", async (t) => {
  const room = workroom(t, {});
  const opened = await open(t, room.folder);
  await visit(opened.address, async (page) => {
    const finished = page.getByRole("region", { name: "Finished batches" });
    await finished.getByText(/the last first/).click();
    await finished.getByRole("link").first().click();
    await page.waitForURL(/\/batch\//);
  });
});

test("store room and workroom are read at 320 px, and with letters of twice the size", async (t) => {
  const room = workroom(t, {});
  const opened = await open(t, room.folder);
  for (const letters of ["100%", "200%"]) {
    await visit(opened.address, async (page) => {
      for (const address of ["/store", "/"]) {
        await page.goto(opened.origin + address);
        await page.evaluate((size) => document.documentElement.style.setProperty("font-size", size), letters);
        await page.waitForTimeout(200);
        await fits(page, `${address} with letters of ${letters}`);
        await accessible(page, `${address} with letters of ${letters}`);
      }
      for (const [address, of, says] of [["/store", /shea-butter/, /1000 g/], ["/", /^Mandelic gel/, /pH 3\.6 to 4/]]) {
        await page.goto(opened.origin + address);
        await page.evaluate((size) => document.documentElement.style.setProperty("font-size", size), letters);
        // Nothing of a row has to be drawn sideways to be seen, and it is a row still.
        const row = page.getByRole("row", { name: of }).first();
        for (const cell of await row.getByRole("cell").all()) {
          const box = await cell.boundingBox();
          assert.ok(box === null || (box.x >= 0 && box.x + box.width <= 320), JSON.stringify(box));
        }
        assert.match(await row.innerText(), says);
      }
    }, { context: SMALL });
  }
});

test("workroom, store room and the page of a file at three widths, light and dark", async (t) => {
  const room = workroom(t, {});
  const { address, origin } = await open(t, room.folder);
  await looks(address, "workroom");
  await looks(address, "store", (page) => page.goto(`${origin}/store`));
  await looks(address, "file", async (page) => {
    await page.goto(`${origin}/text/materials.still`);
    await page.getByRole("region", { name: "Faults" }).getByText(/Nothing is wrong|note|warning/).first().waitFor();
  });
});
