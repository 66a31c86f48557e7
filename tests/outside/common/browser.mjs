// A real browser: a page is opened, watched for errors and for requests to elsewhere, and looked at.

import axe from "axe-core";
import assert from "node:assert/strict";
import fs from "node:fs";
import path from "node:path";
import { chromium } from "playwright-core";
import { LEFT } from "./program.mjs";

/** The widths that each page is looked at: a phone propped against a jar, a tablet, a desk. */
export const WIDTHS = {
  phone: { width: 390, height: 844 },
  tablet: { width: 820, height: 1180 },
  desk: { width: 1280, height: 900 },
};

/** Every width, light and dark: `{width, scheme}`. */
export const LOOKS = Object.keys(WIDTHS).flatMap((width) => ["light", "dark"].map((scheme) => ({ width, scheme })));

function executable() {
  const named = process.env.CHROMIUM;
  const folders = (process.env.PATH ?? "").split(path.delimiter);
  const found = [named, ...folders.map((folder) => path.join(folder, "chromium")), ...folders.map((folder) => path.join(folder, "chromium-browser"))];
  const chosen = found.find((file) => file && fs.existsSync(file));
  if (!chosen) throw new Error("There is no Chromium on this machine. On Debian: apt-get install chromium");
  return chosen;
}

let launched;

/** The one browser of a file of tests. It looks up no host: what is not on this machine cannot be reached. */
export async function browser() {
  launched ??= chromium.launch({
    executablePath: executable(),
    args: [
      "--no-sandbox",
      "--disable-gpu",
      "--disable-quic",
      "--disable-background-networking",
      "--disable-component-update",
      "--disable-sync",
      "--host-resolver-rules=MAP * ~NOTFOUND, EXCLUDE 127.0.0.1, EXCLUDE localhost",
    ],
  });
  return launched;
}

/** Closes the browser. `after(close)` stands at the head of each file of browser tests, or its process goes on. */
export async function close() {
  if (launched) await (await launched).close();
  launched = undefined;
}

/** Where a request may go: to the origin of the page that was opened, to the disk where it is read from disk, and to itself. */
function mayGo(url, home) {
  const { protocol, origin } = new URL(url);
  if (["data:", "blob:", "about:"].includes(protocol)) return true;
  return home.protocol === "file:" ? protocol === "file:" : origin === home.origin;
}

/**
 * Opens `address` (of the server, or `file:`, or a path on the disk) and gives the page to `use`. Fails where the page
 * has an error on its console or in a script, or asks for anything from elsewhere. `expected` are patterns of what the
 * test brings about itself, such as the browser's own line of a request that is refused with 409.
 */
export async function visit(address, use, { width = "desk", scheme = "light", expected = [], context: wished = {} } = {}) {
  const home = path.isAbsolute(address) ? new URL(`file://${address}`) : new URL(address);
  const context = await (await browser()).newContext({
    viewport: WIDTHS[width],
    colorScheme: scheme,
    hasTouch: width === "phone",
    isMobile: width === "phone",
    acceptDownloads: true,
    ...wished,
  });
  const faults = [];
  const note = (kind, text) => {
    if (!expected.some((pattern) => pattern.test(text))) faults.push(`${kind}: ${text}`);
  };
  context.on("request", (request) => {
    if (!mayGo(request.url(), home)) note("asked of elsewhere", request.url());
  });
  context.on("console", (message) => {
    if (message.type() === "error") note("console", `${message.text()} (${message.location().url})`);
  });
  context.on("weberror", (fault) => note("script", String(fault.error()?.stack ?? fault.error())));
  try {
    const page = await context.newPage();
    page.setDefaultTimeout(15_000);
    await page.goto(home.href);
    const used = await use(page, context);
    assert.deepEqual(faults, [], `${home.href} is not quiet`);
    return used;
  } finally {
    await context.close();
  }
}

/** Fails where the accessibility checker finds anything serious or critical on the page as it stands. */
export async function accessible(page, name = page.url()) {
  // By the debugger and not as an element of the page: the page's own content security policy stays as it is.
  await page.evaluate(axe.source);
  const found = await page.evaluate(() => window.axe.run(document, { resultTypes: ["violations"] }));
  const grave = found.violations
    .filter((violation) => ["serious", "critical"].includes(violation.impact))
    .map((violation) => `${violation.id} (${violation.impact}): ${violation.help}\n    ${violation.nodes.map((node) => node.html).slice(0, 5).join("\n    ")}`);
  assert.ok(found.testEngine.name === "axe-core" && found.passes.length > 0, "the checker looked at nothing");
  assert.deepEqual(grave, [], `${name}: ${grave.join("\n  ")}`);
}

/** Fails where something stands out of the page to the right: nobody scrolls a page sideways. */
export async function fits(page, name = page.url()) {
  // Not the width that a phone tells: it grows with what stands out.
  const seen = page.viewportSize().width;
  const wide = await page.evaluate(() => document.scrollingElement.scrollWidth);
  assert.ok(wide <= seen, `${name} is ${wide} wide and ${seen} of it are seen`);
}

/** Leaves a picture of the whole page in `target/outside/shots`. */
export async function shot(page, name) {
  const file = path.join(LEFT, "shots", `${name}.png`);
  fs.mkdirSync(path.dirname(file), { recursive: true });
  await page.screenshot({ path: file, fullPage: true });
  return file;
}

/** Opens `address` at every width, light and dark; each fits, has nothing serious, and leaves a picture. */
export async function looks(address, name, prepare = async () => {}, options = {}) {
  for (const look of LOOKS) {
    await visit(
      address,
      async (page) => {
        await prepare(page);
        const called = `${name}-${look.width}-${look.scheme}`;
        await fits(page, called);
        await accessible(page, called);
        await shot(page, called);
      },
      { ...options, ...look },
    );
  }
}

/** The page as it is printed, left in `target/outside/prints`: the file, and how many sheets of paper it takes. */
export async function printed(page, name, { format = "A4", ...more } = {}) {
  const file = path.join(LEFT, "prints", `${name}.pdf`);
  fs.mkdirSync(path.dirname(file), { recursive: true });
  const bytes = await page.pdf({ path: file, format, preferCSSPageSize: true, ...more });
  const sheets = bytes.toString("latin1").match(/\/Type\s*\/Page\b(?!s)/g)?.length ?? 0;
  assert.ok(sheets > 0, "nothing was printed");
  return { file, sheets };
}
