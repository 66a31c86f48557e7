// The cost in one file: the figures of the program, as text.

import assert from "node:assert/strict";
import { execFileSync } from "node:child_process";
import { after, test } from "node:test";
import { close, looks, visit } from "../common/browser.mjs";
import { program, workroom } from "../common/program.mjs";

after(close);

function cost(t, words) {
  const room = workroom(t);
  const run = (more) => execFileSync(program(), ["cost", ...words, ...more], { cwd: room.folder, encoding: "utf8", stdio: ["ignore", "pipe", "ignore"] });
  room.write("cost.html", run(["--format", "html"]));
  return { json: JSON.parse(run(["--format", "json"])), page: room.path("cost.html") };
}

test("the figures are those of the program", async (t) => {
  const { json, page: file } = cost(t, ["for-sale.still", "--formula", "day-cream-sold"]);
  await visit(file, async (page) => {
    const materials = page.getByRole("table", { name: /^Materials/ });
    for (const line of json.lines) {
      const row = materials.getByRole("row").filter({ has: page.getByRole("rowheader", { name: line.title ?? line.material }) }).first();
      const text = await row.innerText();
      if (line.cost) assert.ok(text.includes(line.cost), `${line.material}: ${line.cost} in ${text}`);
      if (line.grams) assert.ok(text.includes(line.grams), `${line.material}: ${line.grams} in ${text}`);
    }
    assert.ok((await page.locator("main").innerText()).includes(json.batch));
  });
});

test("it is fit to be looked at, on every width, light and dark", async (t) => {
  const { page: file } = cost(t, ["for-sale.still", "--formula", "day-cream-sold"]);
  await looks(file, "cost");
});
