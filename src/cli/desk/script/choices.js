// @ts-check
// What is chosen, and whether the answer that is shown is still that of it.

// Where the files of each list go, and what their number is called there.
/** @type {Record<List, { path: string, number: "press" | "plastics" | "cutters", label: string }>} */
const TABLES = {
  press: { path: "presses", number: "press", label: "Press" },
  plastics: { path: "plastics", number: "plastics", label: "Known plastics" },
  tools: { path: "cutters", number: "cutters", label: "Cutters" },
};
const LISTS = /** @type {List[]} */ (Object.keys(TABLES));

const byItself = element("by-itself", HTMLInputElement);

// The plastic that is chosen where nothing else is.
const firstPlastic = [...plasticField.options].find((option) => option.defaultSelected)?.value ?? "";

// What can be chosen of each file of plastics, by its number; of the built-in ones under "".
/** @type {Map<string, Pairs>} */
const plasticChoices = new Map([["", [...plasticField.options].map((option) => [option.value, option.text])]]);

/** @param {List} list */
const listOf = (list) => element(list, HTMLSelectElement);

/**
 * What is chosen in a form, as options of the command line.
 * @param {HTMLFormElement} form
 */
function chosenOptions(form) {
  /** @type {Pairs} */
  const chosen = [];
  for (const field of form.elements) {
    if (!(field instanceof HTMLInputElement || field instanceof HTMLSelectElement) || !field.name || field.type === "file") continue;
    if (field.type === "radio" && !(field instanceof HTMLInputElement && field.checked)) continue;
    if (field.type === "checkbox") {
      if (field instanceof HTMLInputElement && field.checked) chosen.push([field.name, "on"]);
    } else if (field.value.trim() !== "") {
      chosen.push([field.name, field.value.trim()]);
    }
  }
  return chosen;
}

/** @returns {Choices} */
function choicesNow() {
  const own = (/** @type {List} */ list) => (listOf(list).value === "" ? null : Number(listOf(list).value));
  return {
    part: desk.part?.id ?? null, press: own("press"), plastics: own("plastics"), cutters: own("tools"),
    chosen: chosenOptions(mainForm),
  };
}

/**
 * Offers the plastics of the file that is chosen.
 * @param {string} wanted What is chosen of them where there is such a one.
 */
function offerPlastics(wanted) {
  const choices = plasticChoices.get(listOf("plastics").value) ?? [];
  plasticField.replaceChildren(...choices.map(([value, text]) => new Option(text, value)));
  plasticField.value = choices.some(([value]) => value === wanted) ? wanted : firstPlastic;
}

/**
 * Sets the form as `choices` are.
 * @param {Choices} choices
 */
function setChoices(choices) {
  for (const list of LISTS) listOf(list).value = String(choices[TABLES[list].number] ?? "");
  const chosen = new Map(choices.chosen);
  offerPlastics(chosen.get("plastic") ?? firstPlastic);
  for (const field of mainForm.elements) {
    if (!(field instanceof HTMLInputElement || field instanceof HTMLSelectElement) || !field.name || field === plasticField) continue;
    if (field instanceof HTMLInputElement && field.type === "checkbox") field.checked = chosen.has(field.name);
    else if (field.type !== "file") field.value = chosen.get(field.name) ?? "";
  }
  countFolded();
}

/** Says how much is chosen among what is folded away. */
function countFolded() {
  const line = element("more-chosen", HTMLElement), folded = line.closest("details");
  const names = new Set(chosenOptions(mainForm).map(([name]) => name));
  const count = [...folded?.querySelectorAll("[name]") ?? []].filter((field) => names.has(field.getAttribute("name") ?? "")).length;
  line.textContent = count ? ` (${count} chosen)` : "";
}

/** @param {string} name */
function labelOf(name) {
  const field = mainForm.querySelector(`[name="${name}"]`);
  const label = field && document.querySelector(`label[for="${field.id}"]`);
  return label?.textContent ?? name;
}

/**
 * What differs, as the form calls it.
 * @param {Choices} before
 * @param {Choices} now
 */
function differences(before, now) {
  const lists = LISTS.filter((list) => before[TABLES[list].number] !== now[TABLES[list].number]);
  const [old, fresh] = [new Map(before.chosen), new Map(now.chosen)];
  const names = new Set([...old.keys(), ...fresh.keys()]);
  const options = [...names].filter((name) => old.get(name) !== fresh.get(name)).map(labelOf);
  const part = before.part === now.part ? [] : ["Your part"];
  return [...part, ...lists.map((list) => TABLES[list].label), ...options];
}

/** What is chosen otherwise than in the answer that is shown. */
const changedSince = () =>
  desk.shown && desk.shown.kind !== "comparison" ? differences(desk.shown.request, choicesNow()) : [];

/** Marks the answer that is shown where something else is chosen now. */
function markStale() {
  const changed = changedSince();
  const isStale = changed.length > 0;
  const why = element("stale-why", HTMLElement), again = element("again", HTMLButtonElement);
  why.textContent = isStale ? `Out of date: since this answer you changed ${changed.join(", ")}.` : "";
  why.hidden = !isStale;
  again.hidden = !isStale || desk.part === null;
  again.textContent = desk.shown?.kind === "check" ? "Check again" : "Check with this";
  answerBox.classList.toggle("stale", isStale);
}

let keepTimer = 0;

/** After a change: the answer may be out of date, and a page that is loaded again shows the change. */
function onChoice() {
  markStale();
  countFolded();
  clearTimeout(keepTimer);
  keepTimer = setTimeout(keepChoices, 150);
}

/** Keeps at goodshot what is chosen; the next change tries again. */
const keepChoices = () => askFor("choices", choicesNow()).catch(() => {});

// A check that was answered within so many seconds is made again by itself.
const QUICK_S = 5;
// A choice that stays for so long is meant.
const SETTLED_MS = 400;
let settledTimer = 0;

/** Checks again by itself where something else is chosen, and the check before was quick. */
function checkByItself() {
  clearTimeout(settledTimer);
  settledTimer = setTimeout(() => {
    const part = desk.part?.id ?? null;
    const last = [...desk.rows].reverse().find((row) => row.kind === "check" && row.request.part === part && row.seconds !== null);
    const isQuick = last !== undefined && (last.seconds ?? QUICK_S) < QUICK_S;
    if (byItself.checked && part !== null && isQuick && desk.shown?.kind === "check" && changedSince().length) void beginCheck(true);
  }, SETTLED_MS);
}
