// The card in a browser: nothing is fetched, nothing runs, and what a maker wrote is text, within the paper.

import assert from "node:assert/strict";
import { after, test } from "node:test";
import { close, visit } from "../common/browser.mjs";
import { run, workroom } from "../common/program.mjs";

after(close);

const TITLE = `<script>alert(1)</script> & 'quotes' ]]> שלום`;
const NAME = `<img src=x onerror=alert(2)> <&"> שלום עולם`;

const HOSTILE = `use shelf/all

material odd {
  name      "${NAME.replaceAll('"', '\\"')}"
  contains  squalane 100 %
}

formula hostile {
  title    "${TITLE}"
  product  leave-on face
  makes    100 g
  scale    0.01 g
  phase A "${"long ".repeat(60)}" {
    odd       100 %
  }
}
`;

/** Draws a card into the folder, and opens it. */
async function card(t, { file, files = {}, words = [] }, use) {
  const room = workroom(t, { files });
  const drawn = await run(t, ["card", file, "--out", "card.svg", ...words], { folder: room.folder });
  assert.equal(drawn.code, 0, drawn.stderr);
  return visit(room.path("card.svg"), use);
}

/** Every text with where it stands, in the drawing's own pixels, and the size of the paper. */
const seen = (page) =>
  page.evaluate(() => ({
    paper: document.documentElement.viewBox.baseVal.width,
    high: document.documentElement.viewBox.baseVal.height,
    elements: [...new Set([...document.querySelectorAll("*")].map((element) => element.localName))].sort(),
    texts: [...document.querySelectorAll("text")].map((text) => {
      const { x, y, width, height } = text.getBBox();
      return { words: text.textContent, x, y, right: x + width, foot: y + height };
    }),
  }));

test("a card from disk is quiet, and its text stands within the paper", async (t) => {
  await card(t, { file: "acid-gel.still" }, async (page) => {
    const { paper, high, texts } = await seen(page);
    assert.deepEqual([paper, high], [1240, 1748]);
    assert.ok(texts.some((text) => text.words === "Mandelic gel"));
    for (const text of texts) {
      assert.ok(text.x >= 0 && text.right <= paper && text.y >= 0 && text.foot <= high, JSON.stringify(text));
    }
  });
});

test("what a maker wrote is text and makes no element", async (t) => {
  await card(t, { file: "odd.still", files: { "odd.still": HOSTILE } }, async (page) => {
    const { elements, texts, paper } = await seen(page);
    assert.deepEqual(elements, ["rect", "svg", "text", "title"]);
    // A line may end anywhere in it, so that spaces do not count.
    const bare = (words) => words.replaceAll(" ", "");
    const words = bare(texts.map((text) => text.words).join(""));
    assert.ok(words.includes(bare(TITLE)) && words.includes(bare(NAME)), words);
    assert.ok(texts.every((text) => text.right <= paper), JSON.stringify(texts));
  });
});
