// The page of a formula: written from nothing, mended, saved and committed; what meets another's text; what is hostile.

import assert from "node:assert/strict";
import { execFileSync } from "node:child_process";
import { readFileSync } from "node:fs";
import { join } from "node:path";
import { after, test } from "node:test";
import { accessible, close, fits, looks, printed, visit } from "../common/browser.mjs";
import { open } from "../common/open.mjs";
import { program, workroom } from "../common/program.mjs";

after(close);

const OIL = `use shelf/all

formula face-oil {
  title    "Face oil"
  version  "1"
  product  leave-on face
  makes    100 g
  scale    0.01 g
  market   eu
  phase A "Oils" {
    squalane    q.s.
    jojoba-oil  30 %
    tocopherol  0.5 %
  }
}
`;

/** The browser's own line for a request that a test has refused on purpose. */
const REFUSED = [/Failed to load resource/];

/** Starts the program on a workroom, and opens the page of a formula in it. */
async function formula(t, { file, name, ...room }, use, more = {}) {
  const made = workroom(t, room);
  const opened = await open(t, made.folder);
  return visit(opened.address, async (page, context) => {
    await page.goto(`${opened.origin}/formula/${encodeURIComponent(file)}/${name}`);
    const found = parts(page);
    await found.text.waitFor();
    await use({ page, context, room: made, opened, ...found });
  }, more);
}

/** What the page is made of, by role and name. */
function parts(page) {
  const region = (name) => page.getByRole("region", { name, exact: true });
  return {
    text: page.getByRole("textbox", { name: "Formula text" }),
    faults: region("Faults").getByRole("listitem"),
    region,
    save: page.getByRole("button", { name: "Save", exact: true }),
    commit: page.getByRole("button", { name: "Save and commit" }),
    what: page.getByRole("textbox", { name: "What changed" }),
    batch: page.getByRole("textbox", { name: "Batch" }),
    saved: page.getByText("All of it is saved.", { exact: true }),
    unsaved: page.getByText("Not saved yet.", { exact: true }),
    under: (level) => page.locator(`#text-layer .under.${level}`),
  };
}

/** Waits until something holds. */
async function until(holds, words) {
  const end = Date.now() + 10_000;
  for (;;) {
    const is = await holds();
    if (is) return is;
    if (Date.now() > end) assert.fail(`${words} never came about`);
    await new Promise((resolve) => setTimeout(resolve, 40));
  }
}

test("a formula is written from nothing, its fault mended, saved and committed", async (t) => {
  const given = { file: "new.still", name: "face-oil", examples: false, git: true, files: { "new.still": "# Mine.\n" } };
  await formula(t, given, async ({ page, room, text, faults, region, save, commit, what, unsaved, saved, under }) => {
    await text.click();
    await page.keyboard.press("Control+End");
    for (const line of OIL.replace("squalane", "squalene").split("\n")) {
      await page.keyboard.insertText(`${line}\n`);
    }
    await unsaved.waitFor();
    const fault = faults.filter({ hasText: "squalene" }).first();
    await fault.waitFor();
    assert.match(await fault.innerText(), /Error/);
    await under("error").filter({ hasText: "squalene" }).first().waitFor();
    assert.equal(await text.getAttribute("aria-invalid"), "true");

    // The way to its place puts the cursor there.
    await fault.getByRole("button", { name: /^line \d+$/ }).click();
    const selected = () => text.evaluate((area) => area.value.slice(area.selectionStart, area.selectionEnd));
    assert.equal(await selected(), "squalene");

    // What is sure is mended by its button, and one “undo” takes that back.
    const before = await text.inputValue();
    const mend = fault.getByRole("button", { name: "Mend" });
    if (await mend.count()) {
      await mend.click();
      assert.match(await text.inputValue(), /squalane/);
      await page.keyboard.press("Control+z");
      assert.equal(await text.inputValue(), before);
      await mend.click();
    } else {
      await page.keyboard.insertText("squalane");
    }
    await until(async () => (await faults.filter({ hasText: "squalene" }).count()) === 0, "the end of the fault");

    // The weights follow: 69.50 g of squalane are what 30 % and 0.5 % of 100 g leave.
    const row = region("Sheet").getByRole("row", { name: /squalane/i });
    await row.filter({ hasText: "69.50" }).waitFor();
    assert.equal(room.read("new.still"), "# Mine.\n", "nothing is written before it is saved");
    await save.click();
    await saved.waitFor();
    assert.equal(room.read("new.still"), await text.inputValue());

    await until(async () => /face-oil 1: first written, 3 lines/.test(await what.inputValue()), "the words of the change");
    await commit.click();
    await page.getByText(/Saved, and committed as/).waitFor();
    assert.match(room.git("log", "--format=%s", "-1"), /^face-oil 1: first written, 3 lines/);
    assert.equal(room.git("status", "--porcelain").trim(), "");
  });
});

test("a sure edit is offered as a button, and changes the text of the page alone", async (t) => {
  const text = OIL.replace('product  leave-on face', 'product  leave on face');
  const given = { file: "a.still", name: "face-oil", examples: false, files: { "a.still": text } };
  await formula(t, given, async ({ page, room, text: area, faults }) => {
    const mend = faults.getByRole("button", { name: "Mend" }).first();
    await mend.waitFor();
    await mend.click();
    await until(async () => (await area.inputValue()).includes("leave-on face"), "the mended word");
    assert.match(room.read("a.still"), /leave on face/);
    await page.keyboard.press("Control+z");
    assert.match(await area.inputValue(), /leave on face/);
  });
});

test("a batch of another size is weighed out, and what is no size is told in a sentence", async (t) => {
  await formula(t, { file: "a.still", name: "face-oil", files: { "a.still": OIL } }, async ({ page, region, batch }) => {
    await batch.fill("200 g");
    await region("Sheet").getByRole("row", { name: /squalane/i }).filter({ hasText: "139.00" }).waitFor();
    for (const size of ["200,0 G", "0,2 kg", "2 × 100 g"]) {
      await batch.fill(size);
      await region("Sheet").getByRole("row", { name: /squalane/i }).filter({ hasText: "139.00" }).waitFor();
      assert.equal(await batch.getAttribute("aria-invalid"), "false", size);
    }
    await batch.fill("a lot");
    await page.getByRole("alert").filter({ hasText: "a lot" }).filter({ hasText: "12 x 30 mL plus 4 %" }).waitFor();
    assert.equal(await batch.getAttribute("aria-invalid"), "true");
    await batch.fill("");
    await region("Sheet").getByRole("row", { name: /squalane/i }).filter({ hasText: "69.50" }).waitFor();
  });
});

test("sheet, pH, label and cost are those of the commands", async (t) => {
  await formula(t, { file: "acid-gel.still", name: "acid-gel" }, async ({ page, region, text }) => {
    assert.equal(await page.getByRole("heading", { level: 1 }).innerText(), "Mandelic gel");
    await region("pH").getByRole("img", { name: /3\.6 to 4/ }).waitFor();
    await region("pH").getByRole("row", { name: /soda-2/ }).waitFor();
    assert.match(await region("Label").innerText(), /market/);
    assert.ok(await region("Cost").innerText());
    // The curve follows the text.
    const was = await region("pH").innerHTML();
    await text.fill((await text.inputValue()).replace("mandelic-acid  2 %", "mandelic-acid  3 %"));
    await until(async () => (await region("pH").innerHTML()) !== was, "another curve");
  });
});

test("of a formula with an error no figure is shown, and what is likely is offered", async (t) => {
  await formula(t, { file: "acid-gel.still", name: "acid-gel" }, async ({ page, region, text, faults }) => {
    const weights = region("Sheet").getByRole("table", { name: "Weigh" });
    await weights.waitFor();
    const was = await text.inputValue();
    await text.fill(was.replace("mandelic-acid  2 %", "mandelic-acd  2 %"));
    await region("Sheet").getByText(/No weights are shown while/).waitFor();
    await region("Sheet").getByText("mandelic-acd").first().waitFor();
    assert.equal(await weights.count(), 0);
    assert.match(await region("pH").innerText(), /No pH is shown while/);
    assert.match(await region("Label").innerText(), /No label is shown while/);
    assert.match(await region("Cost").innerText(), /No cost is shown while/);
    assert.equal(await region("pH").getByRole("img").count(), 0);
    assert.equal(await page.getByRole("button", { name: "Print the sheet" }).count(), 0);
    // It is near, and it is hers to say that it is meant.
    assert.equal(await faults.getByRole("button", { name: "Mend" }).count(), 0);
    await faults.getByRole("button", { name: "Put in mandelic-acid" }).click();
    assert.equal(await text.inputValue(), was);
    await weights.waitFor();
    await page.getByRole("button", { name: "Print the sheet" }).waitFor();
  });
});

test("the page prints as its sheet, on A4 and on Letter", async (t) => {
  const words = (file) => execFileSync("pdftotext", ["-layout", file, "-"], { encoding: "utf8" }).replace(/\s+/g, " ").trim();
  for (const name of ["acid-gel", "cream"]) {
    const called = { "acid-gel": "acid-gel", cream: "day-cream" }[name];
    await formula(t, { file: `${name}.still`, name: called }, async ({ page, room, text, region }) => {
      await region("Sheet").getByRole("table", { name: "Weigh" }).waitFor();
      const own = execFileSync(program(), ["sheet", `${name}.still`, "--formula", called, "--format", "html"], { cwd: room.folder, encoding: "utf8", stdio: ["ignore", "pipe", "ignore"] });
      room.write("own.html", own);
      for (const format of ["A4", "Letter"]) {
        const { file, sheets } = await printed(page, `formula-${called}-${format}`, { format });
        const said = words(file);
        assert.equal(sheets, 2, `${called} on ${format}`);
        for (const word of ["Formula text", "Faults", "Save", "Batch as the formula says", "Workroom", "Not saved"]) {
          assert.ok(!said.includes(word), `${called} on ${format}: ${word}`);
        }
        await visit(room.path("own.html"), async (alone) => {
          const { file: same, sheets: pages } = await printed(alone, `formula-own-${called}-${format}`, { format });
          assert.equal(sheets, pages);
          // What it is told to defer to stands below the first side in the one, and at the end in the other.
          const inOrder = (text) => [...new Set(text.split(" "))].sort().join(" ");
          assert.equal(inOrder(said), inOrder(words(same)));
        });
      }
      // What is not saved says so on paper.
      await text.fill(`${await text.inputValue()}# More.\n`);
      await page.getByText("Not saved yet.", { exact: true }).waitFor();
      const { file } = await printed(page, `formula-${called}-unsaved`);
      assert.match(words(file), /Not saved: this sheet is of a text that stands in no file yet/);
    });
  }
});

test("the text has the height of the window", async (t) => {
  await formula(t, { file: "acid-gel.still", name: "acid-gel" }, async ({ page, text, save, faults }) => {
    await page.getByText("Nothing is wrong.").waitFor();
    const high = async () => (await page.locator(".editor-scroll").boundingBox()).height;
    const plain = await high();
    assert.ok(plain > 480, `${plain} of 800`);
    const box = await page.getByRole("region", { name: "Faults" }).boundingBox();
    assert.ok(box.y + box.height <= 800, "the faults are in the window");
    const was = await text.inputValue();
    await text.fill(was.replace("mandelic-acid  2 %", "mandelic-acd  2 %").replace("betaine        2 %", "betain         2 %"));
    await faults.nth(1).waitFor();
    assert.ok((await high()) > 300, `${await high()} beside faults`);
    assert.ok((await save.boundingBox()).y < 760);
    await page.setViewportSize({ width: 1280, height: 1100 });
    assert.ok((await high()) > plain, "it grows with the window");
  }, { context: { viewport: { width: 1280, height: 800 } } });
});

test("two texts meet: both are shown, and she decides", async (t) => {
  const given = { file: "a.still", name: "face-oil", examples: false, files: { "a.still": OIL } };
  await formula(t, given, async ({ page, room, text, save, saved }) => {
    const theirs = OIL.replace("30 %", "31 %");
    const mine = OIL.replace("30 %", "29 %");
    const meet = async () => {
      await text.fill(mine);
      room.write("a.still", theirs);
      await save.click();
      await page.getByRole("dialog").waitFor();
    };
    await meet();
    assert.equal(room.read("a.still"), theirs, "nothing is written over it");
    // The line that differs is shown at once, with what is in it on both sides, and no other.
    const differing = page.getByRole("region", { name: "Lines that differ" });
    assert.match(await differing.innerText(), /^Line 12\s+What you typed\s+jojoba-oil +29 %\s+In the file\s+jojoba-oil +31 %$/);
    assert.deepEqual(await differing.locator("ins, del").allInnerTexts(), ["29", "31"]);
    await accessible(page, "a conflict");
    await page.getByRole("button", { name: "Look at both" }).click();
    assert.match(await page.getByRole("region", { name: "What you typed" }).innerText(), /29 %/);
    assert.match(await page.getByRole("region", { name: "What is in the file" }).innerText(), /31 %/);
    await page.getByRole("button", { name: "Take theirs" }).click();
    assert.equal(await text.inputValue(), theirs);
    await saved.waitFor();

    const third = OIL.replace("30 %", "33 %");
    await text.fill(mine);
    room.write("a.still", third);
    await save.click();
    await page.getByRole("button", { name: "Keep mine" }).click();
    await saved.waitFor();
    assert.equal(room.read("a.still"), mine);
  }, { expected: REFUSED });
});

test("what was typed is there after a reload, and after the program has ended", async (t) => {
  const given = { file: "a.still", name: "face-oil", examples: false, files: { "a.still": OIL } };
  await formula(t, given, async ({ page, room, opened, text, unsaved, save }) => {
    page.on("dialog", (dialog) => dialog.accept());
    const typed = OIL.replace("30 %", "28 %");
    await text.fill(typed);
    await unsaved.waitFor();
    await page.reload();
    await page.getByText("What you typed is here again. It is not saved yet.").waitFor();
    assert.equal(await text.inputValue(), typed);
    assert.equal(room.read("a.still"), OIL);
    await opened.stop();
    await text.press("End");
    await page.keyboard.insertText(" ");
    await page.getByText(/The program does not answer/).first().waitFor();
    await save.click();
    await page.getByText(/The program does not answer/).first().waitFor();
    assert.match(await text.inputValue(), /28 %/);
  }, { expected: [/Failed to load resource/, /ERR_CONNECTION/] });
});

/** Types a line that is not saved, and counts from then on how often the browser asks before it leaves. */
async function typedMore(page, text, unsaved) {
  let asked = 0;
  page.on("dialog", (dialog) => {
    asked += 1;
    return dialog.accept();
  });
  await text.click();
  await page.keyboard.press("Control+End");
  await page.keyboard.insertText("# more\n");
  await unsaved.waitFor();
  return () => asked;
}

test("leaving with something unsaved asks, and with nothing unsaved does not", async (t) => {
  await formula(t, { file: "a.still", name: "face-oil", files: { "a.still": OIL } }, async ({ page, text, unsaved, save, saved }) => {
    const asked = await typedMore(page, text, unsaved);
    await page.getByRole("link", { name: "Shelf" }).click();
    await page.waitForURL(/shelf/);
    assert.equal(asked(), 1);
    await page.goBack();
    await text.waitFor();
    await unsaved.waitFor();
    await save.click();
    await saved.waitFor();
    await page.getByRole("link", { name: "Shelf" }).click();
    await page.waitForURL(/shelf/);
    assert.equal(asked(), 1);
  });
});

test("a file taken away asks nothing, and an emptied text is not saved at once", async (t) => {
  await formula(t, { file: "a.still", name: "face-oil", files: { "a.still": OIL } }, async ({ page, room, text, unsaved, save, saved }) => {
    const asked = await typedMore(page, text, unsaved);
    const download = page.waitForEvent("download");
    await page.getByRole("link", { name: "Download the sheet" }).click();
    await download;
    assert.equal(asked(), 0);
    await text.fill("");
    await unsaved.waitFor();
    await save.click();
    await page.getByText(/The text is empty, and nothing is saved yet/).waitFor();
    assert.equal(readFileSync(join(room.folder, "a.still"), "utf8"), OIL);
    await save.click();
    await saved.waitFor();
    assert.equal(readFileSync(join(room.folder, "a.still"), "utf8"), "");
  });
});

test("versions are chosen, and what is different is said as by the command", async (t) => {
  const given = { file: "a.still", name: "face-oil", examples: false, git: true, files: { "a.still": OIL } };
  await formula(t, given, async ({ page, text, what, commit, region }) => {
    const [older, newer] = ["Older", "Newer"].map((name) => page.getByRole("combobox", { name }));
    await text.fill(OIL.replace("30 %", "25 %").replace('version  "1"', 'version  "2"'));
    await region("What is different").getByRole("row", { name: /jojoba-oil/ }).filter({ hasText: "25 %" }).first().waitFor();
    await until(async () => /jojoba-oil/.test(await what.inputValue()), "the words of the change");
    await what.fill("Less jojoba, lighter on the skin");
    await commit.click();
    await page.getByText(/Saved, and committed as/).waitFor();
    await until(async () => (await older.locator("option").count()) === 4, "two commits to choose from");
    const first = await older.locator("option").last().getAttribute("value");
    const last = await older.locator("option").nth(2).getAttribute("value");
    await older.selectOption(first);
    await newer.selectOption(last);
    await region("What is different").getByRole("row", { name: /jojoba-oil/ }).filter({ hasText: "30 %" }).first().waitFor();
    await older.selectOption(last);
    await region("What is different").getByText("Nothing changed in meaning.").waitFor();
  });
});

test("materials are proposed at the cursor, by keyboard and by tap, and Tab goes on", async (t) => {
  await formula(t, { file: "a.still", name: "face-oil", files: { "a.still": OIL } }, async ({ page, text }) => {
    const options = page.getByRole("listbox", { name: "Proposals" }).getByRole("option");
    await text.evaluate((area) => {
      const at = area.value.indexOf("    tocopherol");
      area.focus();
      area.setSelectionRange(at, at);
    });
    await page.keyboard.type("    sunf");
    await options.filter({ hasText: "sunflower-oil" }).first().waitFor();
    await page.keyboard.press("Enter");
    assert.equal(await options.count(), 0, "Enter is a new line until something is chosen");
    await page.keyboard.press("Backspace");
    await page.keyboard.type("sunf");
    await options.filter({ hasText: "sunflower-oil" }).first().waitFor();
    await page.keyboard.press("ArrowDown");
    const chosen = await text.getAttribute("aria-activedescendant");
    assert.equal(await page.locator(`[id="${chosen}"]`).getAttribute("aria-selected"), "true");
    await accessible(page, "proposals");
    await page.keyboard.press("Enter");
    assert.match(await text.inputValue(), /sunflower-oil/);
    await page.keyboard.press("Control+z");
    assert.doesNotMatch(await text.inputValue(), /sunflower-oil/);
    await page.keyboard.press("Control+ ");
    await options.filter({ hasText: "sunflower-oil" }).first().click();
    assert.match(await text.inputValue(), /sunflower-oil/);
    await page.keyboard.press("Tab");
    assert.notEqual(await page.evaluate(() => document.activeElement.id), "text");
  });
});

test("a formula is begun from a kind, and from a table pasted in", async (t) => {
  const room = workroom(t, {});
  const opened = await open(t, room.folder);
  await visit(opened.address, async (page) => {
    const kind = page.getByRole("region", { name: "From a kind" });
    for (const one of ["gel", "cream", "balm", "wash", "toner"]) {
      await page.goto(`${opened.origin}/new`);
      await kind.getByRole("textbox", { name: "Name" }).fill(`my-${one}`);
      await kind.getByRole("combobox", { name: "Kind" }).selectOption(one);
      await kind.getByRole("button", { name: "Begin it" }).click();
      await page.waitForURL(new RegExp(`/formula/my-${one}\\.still/my-${one}$`));
      await page.getByText("Nothing is wrong.").or(page.getByText(/^\d+ (warning|note)/)).first().waitFor();
    }

    await page.goto(`${opened.origin}/new`);
    const table = page.getByRole("region", { name: "From what you have" });
    await table.getByRole("textbox", { name: "Name" }).fill("rose-gel");
    await table
      .getByRole("textbox", { name: "Table or note" })
      .fill("Phase;Name;%\nA;Water;95,0\nA;Glycerin;4\nB;Unknownium <b>;1\n");
    await table.getByRole("button", { name: "Bring it in" }).click();
    await page.getByRole("heading", { name: "Brought in" }).waitFor();
    await page.getByRole("listitem").filter({ hasText: "Unknownium <b>" }).first().waitFor();
    await page.getByRole("link", { name: "Go to the formula" }).click();
    await page.waitForURL(/rose-gel\.still\/rose-gel$/);
    assert.match(room.read("rose-gel.still"), /glycerin +4 %/);
  });
});

test("a new batch is begun from what is saved, and the bench goes on", async (t) => {
  await formula(t, { file: "acid-gel.still", name: "acid-gel" }, async ({ page, room }) => {
    await page.getByRole("button", { name: "New batch" }).click();
    const dialog = page.getByRole("dialog", { name: "A new batch" });
    const name = dialog.getByRole("textbox", { name: "Name of the batch" });
    await until(async () => /^ag-\d{4}$/.test(await name.inputValue()), "a proposed name");
    await accessible(page, "a new batch");
    await dialog.getByRole("textbox", { name: "Size" }).fill("nothing");
    await dialog.getByRole("button", { name: "Begin the batch" }).click();
    await dialog.getByRole("alert").filter({ hasText: "nothing" }).waitFor();
    await dialog.getByRole("textbox", { name: "Size" }).fill("40 g");
    const called = await name.inputValue();
    await dialog.getByRole("button", { name: "Begin the batch" }).click();
    await page.waitForURL(new RegExp(`/batch/acid-gel-batches\\.still/${called}$`));
    assert.match(room.read("acid-gel-batches.still"), new RegExp(`batch ${called} \\{[^}]*size +40`));
  }, { expected: REFUSED });
});

test("a variant is begun below its formula, under a name that is free", async (t) => {
  const given = { file: "a.still", name: "face-oil", examples: false, files: { "a.still": OIL } };
  await formula(t, given, async ({ page, room }) => {
    await page.getByRole("link", { name: "New variant" }).click();
    await page.getByRole("heading", { level: 1, name: "New formula" }).waitFor();
    await accessible(page, "new formula");
    const form = page.getByRole("region", { name: "A variant" });
    await form.getByRole("textbox", { name: "Name" }).fill("face-oil");
    await form.getByRole("button", { name: "Begin the variant" }).click();
    await page.getByText(/has a formula/).waitFor();
    await form.getByRole("textbox", { name: "Name" }).fill("rich-oil");
    await form.getByRole("button", { name: "Begin the variant" }).click();
    await page.waitForURL(/\/formula\/a\.still\/rich-oil$/);
    assert.match(room.read("a.still"), /variant rich-oil of face-oil/);
    assert.ok(room.read("a.still").startsWith(OIL), "what was there is as it was");

  }, { expected: REFUSED });
});

test("every text of a user is text", async (t) => {
  const hostile = `<img src=x onerror=alert(1)>&quot;</textarea><script>alert(2)</script>\u202e "q"`;
  const word = hostile.replaceAll('"', '\\"');
  const text = OIL.replace('"Face oil"', `"${word}"`)
    .replace('phase A "Oils"', `phase A "${word}"`)
    .replace("30 %", `30 %  because "${word}"`)
    .replace("tocopherol  0.5 %", 'nothing-<b>here</b>  0.5 %');
  const given = { file: "a <b>&.still", name: "face-oil", examples: false, git: true, files: { "a <b>&.still": `\n${text}` } };
  await formula(t, given, async ({ page, text: area, faults, region }) => {
    assert.equal(await area.inputValue(), `\n${text}`);
    await faults.first().waitFor();
    await area.fill(text.replace("nothing-<b>here</b>", "tocopherol"));
    await region("Sheet").getByText("<img src=x onerror=alert(1)>").first().waitFor();
    assert.equal(await page.locator("img").count(), 0);
    assert.equal(await page.locator("main script:not([type='application/json'])").count(), 0);
    assert.match(await page.getByRole("heading", { level: 1 }).innerText(), /<script>alert\(2\)<\/script>\\u\{202e\}/);
    await accessible(page, "hostile texts");
    await fits(page);
  });
});

test("line ends, tabs, wide letters and signs stay as they are, and the underline stands under its word", async (t) => {
  const text = `# 水 \u{1f33f}\u{1f9f4} é\r\n${OIL.replace("phase A", "\t# 日本語 \u{1f9ea}\n  phase A").replaceAll("\n", "\r\n").replace("30 %", "30 %  # \u{1f33f} 水")}`
    .replace("squalane", "squalene");
  const given = { file: "a.still", name: "face-oil", examples: false, files: { "a.still": text } };
  await formula(t, given, async ({ page, room, text: area, under, save, saved }) => {
    await under("error").filter({ hasText: /^squalene$/ }).first().waitFor();
    // The layer has the letters where the field has them: the same height, and a word in the same place.
    const [field, layer] = await page.evaluate(() => [document.getElementById("text"), document.getElementById("text-layer")].map((one) => [one.scrollHeight, one.clientWidth]));
    assert.deepEqual(field, layer);
    await area.evaluate((one) => {
      const at = one.value.indexOf("squalene");
      one.focus();
      one.setSelectionRange(at, at + 8);
    });
    await page.keyboard.insertText("squalane");
    await save.click();
    await saved.waitFor();
    assert.equal(room.read("a.still"), text.replace("squalene", "squalane"));
  });
});

test("the page at three widths, light and dark, with large letters, by keyboard", async (t) => {
  const room = workroom(t, { git: true });
  const { address, origin } = await open(t, room.folder);
  const text = room.read("acid-gel.still").replace("betaine        2 %", "betaine        2 %\n    glicerin       3 %");
  await looks(address, "formula", async (page) => {
    await page.goto(`${origin}/formula/acid-gel.still/acid-gel`);
    await page.getByRole("region", { name: "Sheet" }).getByRole("table").first().waitFor();
    await page.getByRole("textbox", { name: "Formula text" }).fill(text);
    await page.getByRole("region", { name: "Faults" }).getByRole("listitem").first().waitFor();
    page.on("dialog", (dialog) => dialog.accept());
  });
  await looks(address, "formula-sound", async (page) => {
    await page.goto(`${origin}/formula/cream.still/day-cream`);
    await page.getByRole("region", { name: "Sheet" }).getByRole("table").first().waitFor();
    await page.waitForTimeout(400);
  });
  await visit(address, async (page) => {
    await page.goto(`${origin}/formula/acid-gel.still/acid-gel`);
    await page.evaluate(() => document.documentElement.style.setProperty("font-size", "200%"));
    await page.waitForTimeout(300);
    await fits(page, "letters of twice the size");
  }, { width: "phone" });
});
