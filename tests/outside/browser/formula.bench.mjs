// From a key to the underlined fault, in a workroom of 200 formulas: `tests/outside/run browser/formula.bench.mjs`, with
// STILLROOM_PROGRAM naming a release build. Fails over 100 ms at the 95th percentile.

import assert from "node:assert/strict";
import { after, test } from "node:test";
import { close, visit } from "../common/browser.mjs";
import { open } from "../common/open.mjs";
import { workroom } from "../common/program.mjs";

after(close);

const FORMULAS = 200;
const KEYS = 120;
const AIM = 100;

/** A cream of the workroom, each with figures of its own. */
function cream(number) {
  const glycerin = (3 + (number % 20) / 10).toFixed(1);
  return `use "materials.still"
use "stocks.still"

formula cream-${number} {
  title    "Cream ${number}"
  version  "1"
  product  leave-on face
  makes    8 x 50 g plus 4 %
  scale    0.01 g
  pH       5.0 to 5.6
  market   eu

  phase A "Water phase" {
    heat to 75 °C
    water        q.s.  hold back 4 %
    glycerin     ${glycerin} %
    xanthan-gum  0.3 %
  }
  phase B "Oil phase" {
    heat to 75 °C
    squalane           5 %
    sunflower-oil      6 %
    cetearyl-alcohol   2.5 %
    polysorbate-60     1.4 %
    sorbitan-stearate  1.9 %
  }
  phase C "Cool down" {
    cool to 40 °C
    panthenol-75        2 % active
    tocopherol          0.3 %
    preservative-blend  0.9 %
    citric-50           q.s. to pH
  }
}
`;
}

test(`from a key to the underlined fault: under ${AIM} ms at the 95th percentile`, { timeout: 240_000 }, async (t) => {
  const files = {};
  for (let number = 1; number <= FORMULAS; number += 1) files[`cream-${number}.still`] = cream(number);
  const room = workroom(t, { files });
  const { address, origin } = await open(t, room.folder);
  const taken = await visit(address, async (page) => {
    page.on("dialog", (dialog) => dialog.accept());
    await page.goto(`${origin}/formula/cream-77.still/cream-77`);
    await page.getByRole("region", { name: "Sheet" }).getByRole("table").first().waitFor();
    await page.evaluate(() => {
      const area = document.getElementById("text");
      const at = area.value.indexOf("squalane") + "squalane".length;
      area.focus();
      area.setSelectionRange(at, at);
      const layer = document.getElementById("text-layer");
      window.taken = [];
      let began = null;
      area.addEventListener("keydown", () => { began = performance.now(); }, { capture: true });
      // The marks that moved with the letters do not count: what is measured is the word as it was typed, marked, and painted.
      new MutationObserver(() => {
        const word = area.value.match(/squalane\w*/)[0];
        const marks = [...layer.querySelectorAll(".under.error")].map((one) => one.textContent);
        const is = word === "squalane" ? !marks.some((mark) => mark.startsWith("squalane")) : marks.includes(word);
        if (began === null || !is) return;
        const from = began;
        began = null;
        requestAnimationFrame(() => setTimeout(() => window.taken.push(performance.now() - from)));
      }).observe(layer, { childList: true, subtree: true });
    });
    for (let key = 0; key < KEYS; key += 1) {
      await page.keyboard.press(key % 2 === 0 ? "x" : "Backspace");
      await page.waitForFunction((wanted) => window.taken.length >= wanted, key + 1, { polling: 10 });
      await page.waitForTimeout(60);
    }
    return page.evaluate(() => window.taken);
  });
  taken.sort((one, other) => one - other);
  const at = (share) => taken[Math.min(taken.length - 1, Math.ceil(taken.length * share) - 1)];
  t.diagnostic(`${taken.length} keys: median ${at(0.5).toFixed(1)} ms, 95 % within ${at(0.95).toFixed(1)} ms, the longest ${taken.at(-1).toFixed(1)} ms`);
  console.log(`key to fault, ${FORMULAS} formulas: median ${at(0.5).toFixed(1)} ms, p95 ${at(0.95).toFixed(1)} ms, most ${taken.at(-1).toFixed(1)} ms`);
  assert.ok(at(0.95) < AIM, `95 % of the keys took up to ${at(0.95).toFixed(1)} ms`);
});
