// A text field with marks under its letters: a layer behind it has the same letters, unseen, in the same places. The layer
// is what gives the field its height, so that nothing scrolls within it and the two cannot drift apart.

/** The text field of a page, its marks, and the places of its letters. */
export class Field {
  #marks = [];
  #text = '';

  constructor(area, layer) {
    this.area = area;
    this.layer = layer;
    this.#text = area.value;
    area.addEventListener('input', () => this.#follow());
    area.addEventListener('beforeinput', (event) => this.#indent(event));
    this.#draw();
  }

  get text() {
    return this.area.value;
  }

  /** Marks stretches of the text: `{ start, end, level }`, the gravest first. */
  mark(marks) {
    const same = marks.length === this.#marks.length && marks.every((mark, at) => {
      const known = this.#marks[at];
      return mark.start === known.start && mark.end === known.end && mark.level === known.level;
    });
    if (same && this.#text === this.area.value) return;
    this.#marks = marks.map(({ start, end, level }) => ({ start, end, level }));
    this.#text = this.area.value;
    this.#draw();
  }

  /** Puts a text in the place of a stretch, as if it had been typed: the browser can undo it. */
  replace(start, end, words) {
    this.area.focus({ preventScroll: true });
    this.area.setSelectionRange(start, end);
    // Only by this command does what is put in go into the history of the field; `setRangeText` would empty it.
    const typed = words === '' && start === end
      ? true
      : document.execCommand(words === '' ? 'delete' : 'insertText', false, words);
    if (!typed) {
      this.area.setRangeText(words, start, end, 'end');
      this.area.dispatchEvent(new Event('input', { bubbles: true }));
    }
  }

  /** Puts the cursor at a stretch, and shows it. */
  goTo(start, end) {
    this.area.focus({ preventScroll: true });
    this.area.setSelectionRange(start, end);
    const box = this.boxAt(start);
    const room = this.area.closest('.editor-scroll');
    if (!box) return;
    if (room && room.scrollHeight > room.clientHeight) {
      const seen = room.getBoundingClientRect();
      if (box.top < seen.top || box.bottom > seen.bottom) room.scrollTop += box.top - seen.top - seen.height / 3;
    }
    const line = this.boxAt(start);
    if (line.top < 0 || line.bottom > window.innerHeight) window.scrollBy(0, line.top - window.innerHeight / 3);
  }

  /** Where on the page a letter stands. */
  boxAt(offset) {
    const walker = document.createTreeWalker(this.layer, NodeFilter.SHOW_TEXT);
    let before = 0;
    for (let node = walker.nextNode(); node; node = walker.nextNode()) {
      if (offset <= before + node.length) {
        const range = document.createRange();
        range.setStart(node, offset - before);
        range.setEnd(node, offset - before);
        const boxes = range.getClientRects();
        return boxes.length > 0 ? boxes[boxes.length - 1] : range.getBoundingClientRect();
      }
      before += node.length;
    }
    return null;
  }

  /** Until the program has answered, marks move with the letters they stand under. */
  #follow() {
    const [was, is] = [this.#text, this.area.value];
    const most = Math.min(was.length, is.length);
    let begins = 0;
    while (begins < most && was.charCodeAt(begins) === is.charCodeAt(begins)) begins += 1;
    let ends = 0;
    while (ends < most - begins && was.charCodeAt(was.length - 1 - ends) === is.charCodeAt(is.length - 1 - ends)) ends += 1;
    const [from, to, by] = [begins, was.length - ends, is.length - was.length];
    this.#marks = this.#marks
      .map(({ start, end, level }) => ({
        start: start >= to ? start + by : Math.min(start, from),
        end: end >= to ? end + by : Math.min(end, from),
        level,
      }))
      .filter(({ start, end }) => end > start);
    this.#text = is;
    this.#draw();
  }

  #draw() {
    const text = this.#text;
    const stretches = this.#marks.map((mark) => ({ ...seen(text, mark.start, mark.end), level: mark.level }));
    const edges = new Set([0, text.length]);
    for (const { start, end } of stretches) edges.add(start).add(end);
    const sorted = [...edges].filter((edge) => edge >= 0 && edge <= text.length).sort((one, other) => one - other);
    const pieces = document.createDocumentFragment();
    for (let at = 0; at + 1 < sorted.length; at += 1) {
      const [start, end] = [sorted[at], sorted[at + 1]];
      const over = stretches.filter((stretch) => stretch.start <= start && stretch.end >= end);
      const level = ['error', 'warning', 'note'].find((one) => over.some((stretch) => stretch.level === one));
      const words = document.createTextNode(text.slice(start, end));
      if (!level) {
        pieces.append(words);
        continue;
      }
      const span = document.createElement('span');
      span.className = `under ${level}`;
      span.append(words);
      pieces.append(span);
    }
    // A last line end alone would have no height.
    pieces.append(document.createTextNode('\u200b'));
    this.layer.replaceChildren(pieces);
  }

  /** A new line begins where the one above began. */
  #indent(event) {
    if (event.inputType !== 'insertLineBreak' && event.inputType !== 'insertParagraph') return;
    const { selectionStart, selectionEnd, value } = this.area;
    const line = value.slice(value.lastIndexOf('\n', selectionStart - 1) + 1, selectionStart);
    const blank = line.match(/^[ \t]*/)[0];
    const deeper = /\{[ \t]*$/.test(line) ? `${blank}  ` : blank;
    if (deeper === '') return;
    event.preventDefault();
    this.replace(selectionStart, selectionEnd, `\n${deeper}`);
  }
}

/** A stretch that has something to be seen: one of nothing stands under the letter beside it. */
function seen(text, start, end) {
  let [from, to] = [Math.max(0, Math.min(start, text.length)), Math.max(0, Math.min(end, text.length))];
  if (text.slice(from, to).trim() !== '') return { start: from, end: to };
  while (from > 0 && text.slice(from, to).trim() === '') from -= 1;
  if (text.slice(from, to).trim() === '') {
    while (to < text.length && text.slice(from, to).trim() === '') to += 1;
  }
  // Half of a letter is none.
  if (from > 0 && text.charCodeAt(from) >= 0xdc00 && text.charCodeAt(from) <= 0xdfff) from -= 1;
  return { start: from, end: to };
}
