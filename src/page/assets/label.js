// A label's text goes to the clipboard by a button.
"use strict";

(() => {
  function tell(name, words) {
    const out = document.querySelector(`[data-said="${name}"]`);
    if (out) out.textContent = words;
  }

  /** Marks what is to be copied, for a browser that lets no page copy by itself. */
  function mark(node) {
    const range = document.createRange();
    range.selectNodeContents(node);
    const selection = window.getSelection();
    selection.removeAllRanges();
    selection.addRange(range);
  }

  document.addEventListener("click", async (event) => {
    const button = event.target.closest("[data-copies]");
    if (!button) return;
    const name = button.dataset.copies;
    const jar = document.getElementById(name);
    const text = [...jar.querySelectorAll("[data-copied]")].map((line) => line.textContent).join("\n");
    try {
      await navigator.clipboard.writeText(`${text}\n`);
      tell(name, "The text is copied.");
    } catch {
      mark(jar);
      tell(name, document.execCommand("copy") ? "The text is copied." : "This browser does not let a page copy: the text is marked, copy it by hand.");
    }
  });
})();
