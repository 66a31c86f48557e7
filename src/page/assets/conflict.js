// A file that changed since it was read: both texts are shown, and the maker decides. Nothing is lost either way.

import { element, shown } from './ask.js';

/** The question that stands where two texts meet. */
export class Conflict {
  #theirs = null;
  #mine = '';

  constructor(dialog, { keepMine, takeTheirs }) {
    this.dialog = dialog;
    this.both = dialog.querySelector('.both');
    const does = (name, act) => dialog.querySelector(`[data-does=${name}]`).addEventListener('click', act);
    does('mine', () => this.#end(() => keepMine(this.#theirs)));
    does('theirs', () => this.#end(() => takeTheirs(this.#theirs)));
    does('both', () => this.#look());
    does('nothing', () => this.dialog.close());
  }

  /** Asks. `theirs` is the text of the file now, with its version. */
  ask(mine, theirs) {
    this.#mine = mine;
    this.#theirs = theirs;
    this.both.hidden = true;
    this.both.replaceChildren();
    if (!this.dialog.open) this.dialog.showModal();
  }

  #end(act) {
    this.dialog.close();
    act();
  }

  #look() {
    const [mine, theirs] = [this.#mine.split('\n'), this.#theirs.text.split('\n')];
    const [keptMine, keptTheirs] = inBoth(mine, theirs);
    this.both.replaceChildren(
      side('What you typed', mine, keptMine, 'ins'),
      side('What is in the file', theirs, keptTheirs, 'del'),
    );
    this.both.hidden = false;
  }
}

function side(title, lines, kept, mark) {
  const pre = element('pre', 'side');
  pre.tabIndex = 0;
  pre.setAttribute('role', 'region');
  pre.setAttribute('aria-label', title);
  lines.forEach((line, at) => {
    const words = shown(line).replace(/\\t/g, '\t');
    pre.append(kept[at] ? words : element(mark, '', words === '' ? ' ' : words), '\n');
  });
  return element('div', '', element('h3', '', title), pre);
}

/** Of each line whether it stands in both, by the longest run of lines that both have in this order. */
function inBoth(one, other) {
  const [keptOne, keptOther] = [one.map(() => false), other.map(() => false)];
  let begins = 0;
  while (begins < Math.min(one.length, other.length) && one[begins] === other[begins]) begins += 1;
  let ends = 0;
  while (ends < Math.min(one.length, other.length) - begins && one[one.length - 1 - ends] === other[other.length - 1 - ends]) ends += 1;
  for (let at = 0; at < begins; at += 1) keptOne[at] = keptOther[at] = true;
  for (let at = 1; at <= ends; at += 1) keptOne[one.length - at] = keptOther[other.length - at] = true;
  const [left, right] = [one.slice(begins, one.length - ends), other.slice(begins, other.length - ends)];
  // What differs in so much is shown as different throughout: the table below would take too long.
  if (left.length * right.length > 4_000_000) return [keptOne, keptOther];
  const width = right.length + 1;
  const longest = new Uint32Array((left.length + 1) * width);
  for (let at = left.length - 1; at >= 0; at -= 1) {
    for (let to = right.length - 1; to >= 0; to -= 1) {
      longest[at * width + to] = left[at] === right[to]
        ? longest[(at + 1) * width + to + 1] + 1
        : Math.max(longest[(at + 1) * width + to], longest[at * width + to + 1]);
    }
  }
  for (let at = 0, to = 0; at < left.length && to < right.length;) {
    if (left[at] === right[to]) {
      keptOne[begins + at] = keptOther[begins + to] = true;
      at += 1;
      to += 1;
    } else if (longest[(at + 1) * width + to] >= longest[at * width + to + 1]) at += 1;
    else to += 1;
  }
  return [keptOne, keptOther];
}
