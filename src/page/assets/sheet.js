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

  /** The two of a list that a place lies between, each with its share; null outside of the list. */
  function between(list, place, of) {
    const sorted = [...list].sort((one, other) => of(one) - of(other));
    const hair = 1e-9;
    for (let at = 0; at < sorted.length; at += 1) {
      const low = of(sorted[at]);
      if (Math.abs(low - place) < hair) return [[sorted[at], 1]];
      const high = at + 1 < sorted.length ? of(sorted[at + 1]) : NaN;
      if (low < place && place < high) {
        const share = (place - low) / (high - low);
        return [[sorted[at], 1 - share], [sorted[at + 1], share]];
      }
    }
    return null;
  }

  /**
   * What the table says of a reading: `[dose, share]` of each place around it, `exact` where it is one of the table's own.
   * Null outside of it.
   */
  function lookUp(table, added, ph) {
    const rows = between(table.added, added, (row) => row.grams);
    if (!rows) return null;
    const found = [];
    for (const [row, share] of rows) {
      // A row that does not hold the reading says nothing; its neighbour has to.
      for (const [dose, of] of between(row.read, ph, (one) => one.ph) ?? []) found.push([dose, of * share]);
    }
    const told = found.reduce((sum, [, share]) => sum + share, 0);
    if (told <= 0.45) return null;
    return { doses: found.map(([dose, share]) => [dose, share / told]), exact: found.length === 1 };
  }

  /** A sheet on the page. */
  function sheet(root, bench) {
    const fields = [...root.querySelectorAll("[data-keep]")];
    const field = (name) => root.querySelector(`[data-keep="${name}"]`);
    const says = (name) => root.querySelector(`[data-says="${name}"]`);
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
      const looked = lookUp(adjust.doses, last.sum / 1e6, ph);
      const found = looked?.doses;
      const said = `pH ${last.ph.text} with ${grams(last.sum, places)} g in`;
      if (!found) {
        return inside
          ? { words: `${said} is in the window.` }
          : { words: `${said} lies outside the table of this sheet, and nothing is guessed. Look at the weights and the meter, or write the record down and ask \`stillroom bench\`.`, unsure: true };
      }
      const weight = (test) => found.filter(([dose]) => test(dose)).reduce((sum, [, share]) => sum + share, 0);
      const isAmount = (dose) => dose.grams !== undefined;
      if (weight(isAmount) < 0.5) {
        const [most] = found.filter(([dose]) => !isAmount(dose)).sort(([, one], [, other]) => other - one);
        return { words: most[0].words ?? "", unsure: true };
      }
      // The smaller of what it lies between, never a share of both: what is added cannot be taken out.
      const amounts = found.map(([dose]) => dose).filter(isAmount);
      const least = amounts.reduce((one, other) => (other.grams < one.grams ? other : one));
      const step = units(Number(adjust.step));
      const smallest = Math.max(step, Math.ceil(30000 / step) * step);
      const held = adjust.from === null ? null : units(Number(bench.lines[adjust.from]?.held ?? 0));
      let amount = Math.floor(units(least.grams) / step + 1e-6) * step;
      if (inside && amount < smallest) return { words: `${said} is in the window. The meter decides: go on with the steps.` };
      amount = Math.max(amount, smallest);
      const left = held === null ? null : held - last.sum;
      if (left !== null && amount > left) {
        return { words: `${said} is short of the window, and only ${grams(Math.max(left, 0), places)} g of what is held back are left. \`stillroom bench\` says what more would do.`, unsure: true };
      }
      const foretold = amounts.map((dose) => dose.then).filter(Boolean);
      const lowest = Math.min(...foretold.map(([, low]) => low));
      const highest = Math.max(...foretold.map(([, , high]) => high));
      const range = least.then ? ` It should then read about ${least.then[0].toFixed(2)}, and as good as surely ${lowest.toFixed(2)} to ${highest.toFixed(2)}.` : "";
      const by = looked.exact
        ? ` From the table of this sheet, by ${said} alone.`
        : ` From the table of this sheet, by ${said} alone. That lies between its rows: it is the smallest that they say, for what is added cannot be taken out.`;
      return {
        amount: `${grams(amount, places)} g`,
        words: `${inside ? "In the window; a little more brings it nearer the middle: add" : "Add"} ${grams(amount, places)} g of ${adjust.called}.${range}${by}`,
      };
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
