// The search of a book: over the entries that stand in the page, by words in any order. Nothing is fetched.
"use strict";
(() => {
  const MOST = 40;
  const box = document.getElementById("find");
  const list = document.getElementById("found");
  const says = document.getElementById("found-count");
  // Letters with marks are found by those without, and capitals do not count.
  const plain = (text) => text.normalize("NFKD").replace(/\p{M}/gu, "").toLowerCase();
  const entries = JSON.parse(document.getElementById("entries").textContent).map((entry) => {
    const title = plain(entry.title);
    return { ...entry, plain: title, all: `${title} ${plain(entry.kind)} ${plain(entry.words)}` };
  });

  /** How well an entry answers: its name from the beginning, in its name, in all else; none where a word is missing. */
  function rank(entry, words) {
    if (!words.every((word) => entry.all.includes(word))) return undefined;
    if (entry.plain.startsWith(words[0])) return 0;
    return words.every((word) => entry.plain.includes(word)) ? 1 : 2;
  }

  function shown(entry) {
    const item = document.createElement("li");
    const link = document.createElement("a");
    const name = document.createElement("bdi");
    name.textContent = entry.title;
    link.href = entry.address;
    link.append(name);
    const note = document.createElement("span");
    note.className = "soft";
    note.textContent = entry.note ? `${entry.kind}, ${entry.note}` : entry.kind;
    item.append(link, " ", note);
    return item;
  }

  function find() {
    const words = plain(box.value).split(/\s+/).filter(Boolean);
    if (words.length === 0) {
      list.replaceChildren();
      says.textContent = "";
      return;
    }
    const ranked = entries.map((entry) => ({ entry, rank: rank(entry, words) })).filter((one) => one.rank !== undefined);
    ranked.sort((one, other) => one.rank - other.rank);
    list.replaceChildren(...ranked.slice(0, MOST).map((one) => shown(one.entry)));
    const more = ranked.length > MOST ? `, the first ${MOST} shown: one more word finds fewer` : "";
    says.textContent = ranked.length === 0 ? "Nothing here is called that." : `${ranked.length} found${more}.`;
  }

  const links = () => [...list.querySelectorAll("a")];
  box.addEventListener("input", find);
  box.addEventListener("keydown", (event) => {
    if (event.key === "Enter") links()[0]?.click();
    if (event.key === "ArrowDown" && links().length > 0) {
      event.preventDefault();
      links()[0].focus();
    }
  });
  list.addEventListener("keydown", (event) => {
    const all = links();
    const at = all.indexOf(document.activeElement);
    if (at < 0 || !["ArrowDown", "ArrowUp"].includes(event.key)) return;
    event.preventDefault();
    (event.key === "ArrowDown" ? all[at + 1] ?? all[at] : all[at - 1] ?? box).focus();
  });
  document.querySelector(".find").hidden = false;
  // What was asked for stands there again when one comes back.
  window.addEventListener("pageshow", find);
  find();
})();
