// A sheet that is filled in: keeps what was typed, adds up, looks up what to add next, and hands the record out.
// It has no model of its own. What to add stands in the page, worked out by the program when the page was made.
"use strict";

(() => {
  /** A weight or a pH as it was typed, as `{text, value}`; null of nothing; a string where it is no figure. */
  function figure(typed) {
    const text = typed.trim().replace(/\s*(g|°C|pH)$/i, "").replace(/\s+/g, "");
    if (!text) return null;
    if (/^\d{1,3},\d{3}$/.test(text) && !text.startsWith("0")) {
      return `${text} may be a thousand or a fraction: write ${text.replace(",", ".")} or ${text.replace(",", "")}.`;
    }
    if (!/^\d{1,7}([.,]\d{1,6})?$/.test(text)) return "A figure is wanted, as 12.50 or 12,50.";
    const point = text.replace(",", ".");
    return { text: point, value: Number(point) };
  }

  /** A text in the quotation marks of the language, on one line. */
  function quoted(text) {
    const line = text.trim().replace(/\s+/g, " ").replace(/\\/g, "\\\\").replace(/"/g, '\\"');
    return `"${line}"`;
  }

  /** Millionths, in which sums are exact. */
  const units = (value) => Math.round(value * 1e6);
  const decimals = (text) => (text.split(".")[1] ?? "").length;
  const grams = (value, places) => (value / 1e6).toFixed(places);

  /** Of figures, the one that a place is, or the two that it lies between; none outside of them. */
  function around(list, place) {
    const sorted = [...new Set(list)].sort((one, other) => one - other);
    const hair = 1e-9;
    const same = sorted.find((one) => Math.abs(one - place) < hair);
    if (same !== undefined) return [same];
    const above = sorted.findIndex((one) => one > place);
    return above > 0 ? [sorted[above - 1], sorted[above]] : [];
  }

  /** What a row of the table says of a reading: of one of its own, or of the two that it lies between. */
  function inRow(row, ph) {
    const places = around(row.read.map((dose) => dose.ph), ph);
    return places.map((place) => row.read.find((dose) => dose.ph === place));
  }

  /**
   * What the table says once so much was added, by what was read first and what is read now; `whole` where the three are
   * its own. Where the first reading was not written down it may have been any. Null outside of it.
   */
  function lookUp(table, added, first, ph) {
    if (added === 0) {
      const doses = inRow(table.added.find((row) => row.grams === 0) ?? { read: [] }, ph);
      return doses.length ? { doses, whole: doses.length === 1 } : null;
    }
    const later = table.added.filter((row) => row.first !== undefined);
    const all = later.map((row) => row.first);
    const firsts = first === null ? [...new Set(all)] : around(all, first);
    const weights = around(later.map((row) => row.grams), added);
    const doses = [];
    for (const grams of weights) {
      for (const of of firsts) {
        const row = later.find((one) => one.grams === grams && one.first === of);
        const own = row ? inRow(row, ph) : [];
        // One that says nothing of it may have a reason to.
        if (!own.length && first !== null) return null;
        doses.push(...own);
      }
    }
    return doses.length ? { doses, whole: doses.length === 1 } : null;
  }

  /** What leads back from past the window: the least that the table says, of readings that are no farther past it. */
  function lookBack(table, added, ph, up) {
    const weights = around(table.past.map((row) => row.grams), added);
    const rows = table.past.filter((row) => weights.includes(row.grams));
    const nearer = (row) => row.read.filter((dose) => (up ? dose.ph <= ph : dose.ph >= ph));
    const nearest = rows.map((row) => (up ? nearer(row).at(-1) : nearer(row)[0])).filter(Boolean);
    return nearest.reduce((one, other) => (one && one.grams <= other.grams ? one : other), null);
  }

  /** A sheet on the page. */
  function sheet(root, bench) {
    const fields = [...root.querySelectorAll("[data-keep]")];
    const field = (name) => root.querySelector(`[data-keep="${name}"]`);
    const says = (name) => root.querySelector(`[data-says="${name}"]`);
    const unfilled = [...(says("top-up")?.childNodes ?? [])].map((node) => node.cloneNode(true));
    const typed = (name) => field(name)?.value ?? "";
    const ticked = (name) => field(name)?.checked ?? false;
    const places = Math.max(2, decimals(bench.adjust?.step ?? "0.01"));
    let keeps = true;

    function read(name) {
      const found = figure(typed(name));
      return found && typeof found === "object" ? found : null;
    }

    function keep() {
      const kept = {};
      for (const own of fields) {
        const value = own.type === "checkbox" ? own.checked : own.value;
        if (value !== (own.type === "checkbox" ? own.defaultChecked : own.defaultValue)) kept[own.dataset.keep] = value;
      }
      try {
        if (Object.keys(kept).length) localStorage.setItem(bench.key, JSON.stringify(kept));
        else localStorage.removeItem(bench.key);
      } catch {
        keeps = false;
      }
      return keeps;
    }

    function restore() {
      let kept = {};
      try {
        kept = JSON.parse(localStorage.getItem(bench.key) ?? "{}") ?? {};
        localStorage.setItem(`${bench.key} ?`, "1");
        localStorage.removeItem(`${bench.key} ?`);
      } catch {
        keeps = false;
      }
      for (const own of fields) {
        const value = kept[own.dataset.keep];
        if (own.type === "checkbox" && typeof value === "boolean") own.checked = value;
        else if (own.type !== "checkbox" && typeof value === "string") own.value = value;
      }
      if (!keeps) {
        tell("This browser keeps nothing of a page: what is typed is gone when it closes. Copy the record before that.");
      }
    }

    function tell(words) {
      const kept = says("kept");
      if (kept) kept.textContent = words;
    }

    /** Marks what is no figure, and says why below it. */
    function mark() {
      for (const own of fields.filter((one) => one.inputMode === "decimal")) {
        const found = figure(own.value);
        const wrong = typeof found === "string";
        own.toggleAttribute("aria-invalid", wrong);
        if (wrong) own.setAttribute("aria-invalid", "true");
        let note = own.parentElement.querySelector(`.fault[data-of="${own.dataset.keep}"]`);
        if (wrong && !note) {
          note = document.createElement("span");
          note.className = "fault";
          note.dataset.of = own.dataset.keep;
          note.id = `${root.id}-fault-${own.dataset.keep}`;
          own.after(note);
          own.setAttribute("aria-describedby", note.id);
        }
        if (note) {
          if (wrong) note.textContent = found;
          else {
            note.remove();
            own.removeAttribute("aria-describedby");
          }
        }
      }
      for (const own of fields.filter((one) => one.type === "date")) own.classList.toggle("is-filled", own.value !== "");
    }

    /** The rows of the readings: what was added in each, in all, and what was read, as far as it was typed. */
    function readings() {
      const rows = [];
      let sum = 0;
      for (let row = 0; field(`ph-${row}`); row += 1) {
        const added = row > 0 ? read(`added-${row}`) : null;
        if (added) sum += units(added.value);
        rows.push({ row, added, sum, ph: read(`ph-${row}`) });
      }
      return rows;
    }

    function sums(rows) {
      for (const { row, added, sum } of rows) {
        const cell = root.querySelector(`[data-sum="${row}"]`);
        if (cell) cell.textContent = added ? grams(sum, places) : "";
      }
    }

    function topUp(rows) {
      const out = says("top-up");
      if (!out) return;
      const lines = bench.lines.map((line, at) => ({ ...line, at })).filter((line) => line.held);
      if (!lines.length) return;
      const drawn = rows.at(-1)?.sum ?? 0;
      // Nothing was added yet: what stands there is a blank, to be filled in on paper.
      if (!rows.some((row) => row.added)) {
        out.replaceChildren(...unfilled.map((node) => node.cloneNode(true)));
        return;
      }
      out.replaceChildren();
      for (const line of lines) {
        const own = bench.adjust && (bench.adjust.from === line.at || lines.length === 1);
        const held = units(Number(line.held));
        const left = held - (own ? drawn : 0);
        const digits = Math.max(decimals(line.held), own ? places : 0);
        const words = document.createElement("p");
        if (left < 0) {
          words.textContent = `${grams(-left, digits)} g more went in than the ${line.held} g of ${line.called} that were held back: nothing is topped up, and every percentage is thinned.`;
        } else {
          words.append(`Top up with ${line.called}: ${line.held} g held back`);
          if (own) words.append(`, less ${grams(drawn, digits)} g added, is `);
          else words.append(", all of it: ");
          const amount = document.createElement("strong");
          amount.textContent = `${grams(left, digits)} g`;
          words.append(amount, ".");
        }
        out.append(words);
      }
    }

    /** What to add next, in words: the figure apart, what to say of it, and whether it is unsure. */
    function next(rows) {
      const { adjust } = bench;
      if (!adjust) return null;
      const last = rows.findLast((row) => row.ph);
      if (!last) return { words: rows.at(-1).sum > 0 ? "Stir, wait a minute, and read the pH." : "Read the pH before any is added." };
      if (rows.at(-1).sum > last.sum) {
        return { words: `${grams(rows.at(-1).sum - last.sum, places)} g went in after the last reading: stir, wait a minute, and read.` };
      }
      if (!adjust.doses) {
        return { words: `Nobody knows what ${adjust.called} does to a pH, so this sheet has no table of it. A little at a time, and read after each.`, unsure: true };
      }
      const ph = last.ph.value;
      const [low, high] = adjust.window.map((edge) => (edge === null ? null : Number(edge)));
      const inside = (low === null || ph >= low) && (high === null || ph <= high);
      const said = `pH ${last.ph.text} with ${grams(last.sum, places)} g in`;
      const ask = "Write the record down and ask `stillroom bench`.";
      const against = whyNot();
      if (against && !inside) return { words: `${said} is not in the window. ${against} ${ask}`, unsure: true };
      const first = rows[0].ph;
      const looked = lookUp(adjust.doses, last.sum / 1e6, first && rows.indexOf(last) > 0 ? first.value : null, ph);
      const table = `From the table of this sheet, by ${last.sum && first ? `pH ${first.text} before any and ` : ""}${said} alone.`;
      if (inside && (last.sum || against || !looked)) return { words: `${said} is in the window. ${buffered()}`, unsure: Boolean(against) };
      const up = adjust.doses.up;
      const past = up ? high !== null && ph > high : low !== null && ph < low;
      if (past && (last.sum || looked)) {
        const back = lookBack(adjust.doses, last.sum / 1e6, ph, up);
        const more = `${said} is past the window: no more of ${adjust.called}.`;
        return { words: back ? `${more} ${back.words}` : `${more} ${ask}`, unsure: true };
      }
      if (!looked) {
        return { words: `${said} lies outside the table of this sheet, and nothing is guessed. Look at the weights and the meter: read it again, and a buffer. ${ask}`, unsure: true };
      }
      const isAmount = (dose) => dose.says === "add";
      const other = looked.doses.find((dose) => !isAmount(dose));
      if (other) return other.says === "inside" ? { words: `${said} is in the window. ${buffered()}` } : { words: other.words ?? ask, unsure: true };
      // The smallest of what it lies between, and something less of that: what is added cannot be taken out.
      const least = looked.doses.reduce((one, dose) => (dose.grams < one.grams ? dose : one));
      const read = rows.filter((row) => row.ph).length;
      const kept = looked.whole && read <= 2 ? 1 : adjust.doses.kept[Math.min(read, adjust.doses.kept.length) - 1];
      const step = units(Number(adjust.step));
      const smallest = Math.max(step, Math.ceil(30000 / step) * step);
      const held = adjust.from === null ? null : units(Number(bench.lines[adjust.from]?.held ?? 0));
      const amount = Math.floor((units(least.grams) * kept) / step + 1e-6) * step;
      if (amount < smallest) {
        return { words: `${said} is next to the window, and less than ${grams(smallest, places)} g is safe by the table. A drop, stir, wait, and read.`, unsure: true };
      }
      const left = held === null ? null : held - last.sum;
      if (left !== null && amount > left) {
        return { words: `${said} is short of the window, and only ${grams(Math.max(left, 0), places)} g of what is held back are left. \`stillroom bench\` says what more would do.`, unsure: true };
      }
      const range = least.then ? ` It should then read about ${least.then[0].toFixed(2)}, and as good as surely ${least.then[1].toFixed(2)} to ${least.then[2].toFixed(2)}.` : "";
      const by = looked.whole ? ` ${table}` : ` ${table} That lies between its rows: it is the smallest that they say, for what is added cannot be taken out.`;
      return { amount: `${grams(amount, places)} g`, words: `${inside ? "In the window; a little more brings it nearer the middle: add" : "Add"} ${grams(amount, places)} g of ${adjust.called}.${range}${by}` };
    }

    /** Why the table does not hold for this batch: a meter that is off, or weights that are not those of the sheet. */
    function whyNot() {
      const buffer = read("buffer");
      const own = Number(field("buffer")?.dataset.buffer);
      if (buffer && Math.abs(buffer.value - own) > 0.0500001) {
        return `The meter shows the buffer of pH ${field("buffer").dataset.buffer} as ${buffer.text}, and the table is for a meter that is right: set it to the buffer, and read again.`;
      }
      for (const act of bench.acts) {
        if (act.what === "adjust") break;
        if (act.what !== "weigh") continue;
        const line = bench.lines[act.at];
        const [asked, weighed] = [Number(line.now), read(`grams-${act.at}`)];
        const off = weighed ? Math.abs(weighed.value - asked) : 0;
        // An assay is allowed to be off by as much.
        if (off > 0.03 * asked && off > Number(bench.adjust.step) * 1.000001) {
          return `${weighed.text} g of ${line.called} were weighed in place of ${line.now} g, and the table is for the weights of this sheet.`;
        }
      }
      return null;
    }

    function buffered() {
      const known = field("buffer") && !read("buffer");
      return known ? `Before you go on, read the buffer of pH ${field("buffer").dataset.buffer} and write down what the meter shows: a sheet cannot see that a meter is off.` : "The meter decides: go on with the steps.";
    }

    function sayNext(rows) {
      const out = says("next");
      const found = next(rows);
      if (!out || !found) return;
      out.classList.toggle("unsure", found.unsure === true);
      out.replaceChildren();
      if (found.amount) {
        const large = document.createElement("span");
        large.className = "amount";
        large.setAttribute("aria-hidden", "true");
        large.textContent = found.amount;
        out.append(large);
      }
      out.append(found.words);
    }

    const isIn = (at) => ticked(`tick-${at}`) || read(`grams-${at}`) !== null;

    /** The act that is next, by the order of the bench. */
    function nextAct(rows) {
      const begun = (from) => bench.acts.slice(from + 1).some((act) => act.what === "weigh" && isIn(act.at));
      for (const [number, act] of bench.acts.entries()) {
        if (act.what === "weigh" && !isIn(act.at)) {
          const line = bench.lines[act.at];
          return { line: act.at, words: `Next: weigh ${line.now} g of ${line.called}` };
        }
        if (act.what === "heat" && !read(`heated-${act.at}`) && !begun(number)) return { words: "Next: heat, and write down what was reached", at: `heated-${act.at}` };
        if (act.what === "cool" && !read(`cooled-${act.at}`) && !begun(number)) return { words: "Next: cool, and write down what was reached", at: `cooled-${act.at}` };
        if (act.what === "wait" && !ticked(`step-${act.at}`) && !begun(number)) return { words: `Next: wait, step ${act.at + 1}`, at: `step-${act.at}` };
        if (act.what === "adjust") {
          const found = next(rows);
          const last = rows.findLast((row) => row.ph);
          const [low, high] = bench.adjust.window.map((edge) => (edge === null ? null : Number(edge)));
          const inside = last && rows.at(-1).sum === last.sum && (low === null || last.ph.value >= low) && (high === null || last.ph.value <= high);
          if (!inside && !begun(number)) return { words: found?.amount ? `Next: add ${found.amount} of ${bench.adjust.called}` : "Next: bring it to the window, and read", at: "ph-0" };
        }
      }
      if (field("topped-up") && !read("topped-up")) return { words: "Next: top up, and read once more", at: "topped-up" };
      return { words: "All is weighed: look at it, and fill", at: "yield" };
    }

    function sayAct(rows) {
      const out = says("act");
      const act = nextAct(rows);
      for (const row of root.querySelectorAll("tr[data-line]")) {
        const at = Number(row.dataset.line);
        row.classList.toggle("is-done", isIn(at));
        row.classList.toggle("is-next", act.line === at);
      }
      if (!out) return;
      const target = act.line === undefined ? field(act.at) : root.querySelector(`tr[data-line="${act.line}"]`);
      if (target && !target.id) target.id = `${root.id}-${act.at}`;
      out.hidden = false;
      out.textContent = act.words;
      if (target) out.href = `#${target.id}`;
    }

    /** The name of the batch, by its code. */
    function name() {
      const words = typed("code").toLowerCase().replace(/[^a-z0-9]+/g, "-").replace(/^-+|-+$/g, "");
      const day = typed("made-on").replaceAll("-", "");
      const plain = /^[a-z]/.test(words) ? words : [bench.formula, words || day || "batch"].join("-");
      return plain.replace(/-+/g, "-");
    }

    /** The record, as it stands in a file. */
    function record() {
      const rows = readings();
      const head = [...bench.opening];
      const size = head.pop();
      if (typed("code").trim()) head.push(`code ${quoted(typed("code"))}`);
      if (typed("made-on")) head.push(`started ${typed("made-on")}${typed("made-by").trim() ? ` by ${quoted(typed("made-by"))}` : ""}`);
      head.push(size);
      const lots = new Set();
      const of = (at) => bench.lines[at].material;
      for (const [at] of bench.lines.entries()) {
        if (typed(`lot-${at}`).trim()) lots.add(`lot ${of(at)} ${quoted(typed(`lot-${at}`))}`);
      }
      const said = [];
      const buffer = read("buffer");
      if (buffer) said.push(`calibrated pH ${field("buffer").dataset.buffer} reads ${buffer.text}`);
      for (const act of bench.acts) {
        if (act.what === "heat" && read(`heated-${act.at}`)) said.push(`heated ${read(`heated-${act.at}`).text} °C`);
        if (act.what === "cool" && read(`cooled-${act.at}`)) said.push(`cooled ${read(`cooled-${act.at}`).text} °C`);
        if (act.what === "wait" && act.seconds && ticked(`step-${act.at}`)) said.push(waited(act.seconds));
        if (act.what === "weigh" && isIn(act.at)) said.push(`weighed ${of(act.at)} ${read(`grams-${act.at}`)?.text ?? bench.lines[act.at].now} g`);
        if (act.what === "adjust") {
          for (const { added, ph } of rows) {
            if (added && added.value > 0) said.push(`added ${bench.adjust.material} ${added.text} g`);
            if (ph) said.push(`reading pH ${ph.text}`);
          }
        }
      }
      const held = bench.lines.findIndex((line, at) => line.held && (!bench.adjust || bench.adjust.from === null || bench.adjust.from === at));
      const topped = read("topped-up");
      if (topped && topped.value > 0 && held >= 0) said.push(`topped-up ${of(held)} ${topped.text} g`);
      if (read("ph-last")) said.push(`reading pH ${read("ph-last").text}`);
      if (read("yield")?.value > 0) said.push(`yield ${read("yield").text} g`);
      const filled = read("filled");
      if (filled && filled.value > 0 && bench.each) {
        said.push(`filled ${filled.text} x ${bench.each}${typed("code").trim() ? ` as ${quoted(typed("code"))}` : ""}`);
      }
      if (typed("after-day").trim()) said.push(`observed ${quoted(`After 24 h: ${typed("after-day")}`)}`);
      if (typed("after-week").trim()) said.push(`observed ${quoted(`After 7 days: ${typed("after-week")}`)}`);
      if (typed("signed").trim()) said.push(`note ${quoted(`Made by ${typed("signed")}`)}`);
      if (typed("checked").trim()) said.push(`note ${quoted(`Checked by ${typed("checked")}`)}`);
      const plan = bench.plan ? `${bench.plan}\n` : "";
      const lines = (all) => all.map((statement) => `  ${statement}\n`).join("");
      return `batch ${name()} {\n${lines([...head, ...lots])}${plan}${lines(said)}}\n`;
    }

    function waited(seconds) {
      const whole = Number(seconds);
      return whole % 3600 === 0 ? `waited ${whole / 3600} h` : `waited ${whole / 60} min`;
    }

    function update() {
      mark();
      const rows = readings();
      sums(rows);
      topUp(rows);
      sayNext(rows);
      sayAct(rows);
      const text = says("record");
      if (text) text.value = record();
    }

    async function copy() {
      const text = record();
      try {
        await navigator.clipboard.writeText(text);
        tell("The record is copied: paste it into the file of the formula.");
      } catch {
        const shown = says("record");
        shown.closest("details").open = true;
        shown.focus();
        shown.select();
        const done = document.execCommand("copy");
        tell(done ? "The record is copied: paste it into the file of the formula." : "This browser does not let a page copy: the record is marked below, copy it by hand.");
      }
    }

    function save() {
      const link = document.createElement("a");
      link.href = URL.createObjectURL(new Blob([record()], { type: "text/plain;charset=utf-8" }));
      link.download = `${name()}.still`;
      document.body.append(link);
      link.click();
      link.remove();
      setTimeout(() => URL.revokeObjectURL(link.href), 10_000);
      tell(`The record is saved as ${name()}.still.`);
    }

    function anew() {
      if (!window.confirm("Start anew? All that was typed on this sheet is wiped out.")) return;
      for (const own of fields) {
        if (own.type === "checkbox") own.checked = own.defaultChecked;
        else own.value = own.defaultValue;
      }
      keep();
      update();
      tell("The sheet is empty again.");
    }

    restore();
    update();
    root.addEventListener("input", () => {
      keep();
      update();
      if (!keeps) tell("This browser keeps nothing of a page: copy the record before it closes.");
    });
    const does = { copy, save, anew };
    root.addEventListener("click", (event) => {
      const button = event.target.closest("[data-does]");
      if (button) does[button.dataset.does]?.();
    });
  }

  for (const root of document.querySelectorAll("article.sheet")) {
    const bench = root.querySelector('script[type="application/json"]');
    if (bench) sheet(root, JSON.parse(bench.textContent));
  }
})();
