// What could stand at the cursor: a list below it, by keyboard and by tap. Nothing is chosen before an arrow key or a tap
// chooses it, so that Enter and Tab keep their meaning.

import { ask, element, shown } from './ask.js';

/** So many are shown. */
const MOST = 40;

/** The list of proposals of a text field. */
export class Completion {
  #items = [];
  #range = [0, 0];
  #chosen = -1;
  #request = null;
  #isTyping = false;

  constructor(field, list, status, body) {
    this.field = field;
    this.list = list;
    this.status = status;
    this.body = body;
    const area = field.area;
    area.addEventListener('input', (event) => this.#typed(event));
    area.addEventListener('keydown', (event) => this.#key(event));
    area.addEventListener('blur', () => this.close());
    area.addEventListener('click', () => this.close());
    list.addEventListener('pointerdown', (event) => event.preventDefault());
    list.addEventListener('click', (event) => {
      const option = event.target.closest('[role=option]');
      if (option) this.#take(Number(option.dataset.at));
    });
  }

  get isOpen() {
    return !this.list.hidden;
  }

  close() {
    this.#request?.abort();
    this.#request = null;
    if (this.list.hidden) return;
    this.list.hidden = true;
    this.list.replaceChildren();
    this.#items = [];
    this.#chosen = -1;
    this.field.area.removeAttribute('aria-activedescendant');
    this.field.area.removeAttribute('aria-controls');
    this.status.textContent = '';
  }

  /** Asks what could stand at the cursor. */
  async open(isAsked) {
    const { area } = this.field;
    this.#request?.abort();
    const request = new AbortController();
    this.#request = request;
    // An undo leaves what it brought back selected: what may stand there is asked of its end.
    const offset = area.selectionEnd;
    try {
      const answer = await ask('/complete', { ...this.body(), offset }, { signal: request.signal });
      if (request.signal.aborted || answer.overtaken || area.selectionEnd !== offset || document.activeElement !== area) return;
      this.#show(answer, isAsked);
    } catch (error) {
      if (error.name !== 'AbortError') this.close();
    }
  }

  #typed(event) {
    const isInsert = event.inputType === 'insertText' || event.inputType === 'insertCompositionText';
    const isDelete = event.inputType === 'deleteContentBackward' && this.isOpen;
    const { selectionStart, value } = this.field.area;
    const word = value.slice(0, selectionStart).match(/[\p{L}\p{N}-]*$/u)[0];
    if ((isInsert || isDelete) && (word.length >= 2 && /\p{L}/u.test(word))) {
      this.open(false);
    } else {
      this.close();
    }
  }

  #key(event) {
    if (event.isComposing) return;
    if (event.key === ' ' && event.ctrlKey) {
      event.preventDefault();
      this.open(true);
      return;
    }
    if (!this.isOpen) return;
    const last = this.#items.length - 1;
    switch (event.key) {
      case 'ArrowDown': this.#choose(this.#chosen >= last ? 0 : this.#chosen + 1); break;
      case 'ArrowUp': this.#choose(this.#chosen <= 0 ? last : this.#chosen - 1); break;
      case 'PageDown': this.#choose(Math.min(last, this.#chosen + 6)); break;
      case 'PageUp': this.#choose(Math.max(0, this.#chosen - 6)); break;
      case 'Escape': this.close(); break;
      case 'Enter':
        if (this.#chosen < 0) {
          this.close();
          return;
        }
        this.#take(this.#chosen);
        break;
      case 'Tab': this.close(); return;
      case 'ArrowLeft': case 'ArrowRight': case 'Home': case 'End': this.close(); return;
      default: return;
    }
    event.preventDefault();
  }

  #show(answer, isAsked) {
    const items = (answer?.items ?? []).slice(0, MOST);
    const written = this.field.text.slice(answer?.start ?? 0, answer?.end ?? 0);
    if (items.length === 0 || (items.length === 1 && items[0].insert === written)) {
      this.close();
      if (isAsked) this.status.textContent = 'Nothing to propose here.';
      return;
    }
    // What was chosen while a later answer was on its way stays chosen.
    const before = this.#items[this.#chosen]?.insert;
    this.#items = items;
    this.#range = [answer.start, answer.end];
    this.#chosen = -1;
    this.list.replaceChildren(...items.map((item, at) => {
      const option = element('li', '', element('span', 'proposal', shown(item.label)));
      option.id = `proposal-${at}`;
      option.dataset.at = String(at);
      option.setAttribute('role', 'option');
      option.setAttribute('aria-selected', 'false');
      if (item.detail) option.append(' ', element('span', 'proposal-detail', shown(item.detail)));
      return option;
    }));
    this.field.area.setAttribute('aria-controls', this.list.id);
    this.field.area.removeAttribute('aria-activedescendant');
    this.list.hidden = false;
    this.#place();
    const again = before === undefined ? -1 : items.findIndex((item) => item.insert === before);
    if (again >= 0) this.#choose(again);
    const many = items.length === 1 ? '1 proposal' : `${items.length} proposals`;
    this.status.textContent = `${many}: arrow down to choose.`;
  }

  #place() {
    const box = this.field.boxAt(this.#range[0]);
    const frame = this.list.offsetParent?.getBoundingClientRect();
    if (!box || !frame) return;
    const left = Math.max(0, Math.min(box.left - frame.left, frame.width - this.list.offsetWidth));
    const below = box.bottom - frame.top + 2;
    const isLow = box.bottom + this.list.offsetHeight > window.innerHeight && box.top > this.list.offsetHeight;
    this.list.style.left = `${left}px`;
    this.list.style.top = isLow ? `${box.top - frame.top - this.list.offsetHeight - 2}px` : `${below}px`;
  }

  #choose(at) {
    this.list.children[this.#chosen]?.setAttribute('aria-selected', 'false');
    this.#chosen = at;
    const option = this.list.children[at];
    if (!option) return;
    option.setAttribute('aria-selected', 'true');
    option.scrollIntoView({ block: 'nearest' });
    this.field.area.setAttribute('aria-activedescendant', option.id);
  }

  #take(at) {
    const item = this.#items[at];
    if (!item) return;
    const [start, end] = [this.#range[0], Math.max(this.#range[1], this.field.area.selectionEnd)];
    this.close();
    this.field.replace(start, end, item.insert);
    this.close();
  }
}
