// @ts-check
// The page of "goodshot desk". Everything is asked of this same address; names and messages are set as text, and the
// pieces of HTML come escaped from goodshot itself.

/** @typedef {"press" | "plastics" | "tools"} List A list of the user's own files. */
/** @typedef {[string, string][]} Choices The value of each choice, and what is shown of it. */
/** @typedef {{ id: number, text: string }} Part Its number at goodshot, and what is shown of it. */
/** @typedef {{ state: "done", said: string, answer: string, files: string[] }} Done */

/**
 * How far a run is.
 * @typedef {{ state: "at", step: number, said: string } | { state: "stopping", said: string } | { state: "stopped" }
 *   | { state: "failed", error: string } | Done} Progress
 */

// How often the page asks how far a run is.
const ASK_AGAIN_MS = 200;

/**
 * @template {HTMLElement} T
 * @param {string} id
 * @param {new () => T} type
 */
function element(id, type) {
  const found = document.getElementById(id);
  if (!(found instanceof type)) throw new Error(id);
  return found;
}

const form = element("form", HTMLFormElement), drop = element("drop", HTMLElement);
const part = element("part", HTMLInputElement), partName = element("part-name", HTMLElement);
const plastic = element("plastic", HTMLSelectElement);
const check = element("check", HTMLButtonElement), stop = element("stop", HTMLButtonElement);
const stopped = element("stopped", HTMLElement), error = element("error", HTMLElement);
const progress = element("progress", HTMLElement), steps = element("steps", HTMLElement), step = element("step", HTMLElement);
const answer = element("answer", HTMLElement), report = element("report", HTMLElement);
const page = element("page", HTMLIFrameElement), files = element("files", HTMLElement);

const { mostMb = "", mostTableKb = "" } = document.body.dataset;
const PART_LIMIT = { bytes: Number(mostMb) * 1024 * 1024, text: `${mostMb} MB at most; a coarser export is enough` };
const TABLE_LIMIT = { bytes: Number(mostTableKb) * 1024, text: `${mostTableKb} KB at most` };
const TITLE = document.title;

// Where the files of each list go, and what their number is called there.
/** @type {Record<List, { path: string, number: string }>} */
const TABLES = {
  press: { path: "presses", number: "press" },
  plastics: { path: "plastics", number: "plastics" },
  tools: { path: "cutters", number: "cutters" },
};
const LISTS = /** @type {List[]} */ (Object.keys(TABLES));

// The plastic that is chosen where nothing else is.
const firstPlastic = [...plastic.options].find((option) => option.defaultSelected)?.value ?? "";

// What can be chosen of each file of plastics, by its number; of the built-in ones under "".
/** @type {Map<string, Choices>} */
const plasticChoices = new Map([["", [...plastic.options].map((option) => [option.value, option.text])]]);

/** @type {{ part: Part | null, isBusy: boolean, run: number | null }} */
const state = { part: null, isBusy: false, run: null };

/** @param {List} list */
const listOf = (list) => element(list, HTMLSelectElement);

/** @param {unknown} problem */
const messageOf = (problem) => (problem instanceof Error ? problem.message : String(problem));

/** @param {string} text */
function complain(text) {
  error.textContent = text;
  error.hidden = text === "";
  if (text !== "") document.title = TITLE;
}

/**
 * What goodshot answers; a refusal becomes an error.
 * @param {string} path
 * @param {RequestInit} [options]
 */
async function ask(path, options) {
  let response;
  try {
    response = await fetch(path, options);
  } catch {
    throw new Error("goodshot does not answer: is it still running in its terminal?");
  }
  const told = await response.json().catch(() => ({}));
  if (!response.ok) throw new Error(told.error || `goodshot refused this (${response.status}).`);
  return told;
}

/**
 * @param {string} path
 * @param {File} file
 */
function send(path, file) {
  return ask(`${path}?name=${encodeURIComponent(file.name)}`, { method: "POST", body: file });
}

/** @param {boolean} isBusy */
function setBusy(isBusy) {
  state.isBusy = isBusy;
  check.disabled = isBusy || state.part === null;
  form.setAttribute("aria-busy", String(isBusy));
}

/**
 * Runs one thing at a time and says what went wrong.
 * @param {() => Promise<void>} work
 * @param {string} what What was not taken while another thing runs.
 */
async function runAlone(work, what) {
  if (state.isBusy) {
    complain(state.run === null ? `${what} was not taken: a file is being read. Try again in a moment.`
      : `${what} was not taken: a check is running. Press Stop, or wait until it is done, then try again.`);
    return;
  }
  complain("");
  stopped.textContent = "";
  setBusy(true);
  try {
    await work();
  } catch (problem) {
    progress.hidden = true;
    complain(messageOf(problem));
  } finally {
    setBusy(false);
  }
}

/**
 * @param {File} file
 * @param {{ bytes: number, text: string }} limit
 */
function refuseLarger(file, limit) {
  if (file.size > limit.bytes) throw new Error(`${file.name}: the file is too large: ${limit.text}`);
}

/**
 * Reads a part and checks it.
 * @param {File} file
 */
function takePart(file) {
  return runAlone(async () => {
    refuseLarger(file, PART_LIMIT);
    partName.textContent = `Reading ${file.name} …`;
    try {
      const told = await send("parts", file);
      state.part = { id: told.part, text: `${told.name}: ${told.seen}` };
    } finally {
      partName.textContent = state.part ? state.part.text : "";
    }
    await runCheck(state.part);
  }, file.name);
}

/** What was chosen in the form, as options of the command line. */
function chosenOptions() {
  /** @type {[string, string][]} */
  const chosen = [];
  for (const field of form.elements) {
    if (!(field instanceof HTMLInputElement || field instanceof HTMLSelectElement) || !field.name) continue;
    if (field.type === "checkbox") {
      if (field instanceof HTMLInputElement && field.checked) chosen.push([field.name, "on"]);
    } else if (field.value.trim() !== "") {
      chosen.push([field.name, field.value]);
    }
  }
  return chosen;
}

/** @param {Part} checked */
async function runCheck(checked) {
  const own = Object.fromEntries(LISTS.map((list) => {
    const id = listOf(list).value;
    return [TABLES[list].number, id === "" ? null : Number(id)];
  }));
  /** @type {{ run: number, steps: string[] }} */
  const begun = await ask("runs", {
    method: "POST",
    headers: { "Content-Type": "application/json" },
    body: JSON.stringify({ part: checked.id, ...own, chosen: chosenOptions() }),
  });
  steps.replaceChildren(...begun.steps.map((text) => {
    const item = document.createElement("li");
    item.textContent = text;
    return item;
  }));
  state.run = begun.run;
  stop.disabled = false;
  progress.hidden = false;
  progress.scrollIntoView({ block: "nearest" });
  try {
    await followRun(begun.run);
  } finally {
    state.run = null;
  }
}

/**
 * Shows how far a run is until it ends.
 * @param {number} run
 */
async function followRun(run) {
  for (;;) {
    /** @type {Progress} */
    const told = await ask(`runs/${run}`);
    if (told.state === "failed") throw new Error(told.error);
    if (told.state === "done") return showAnswer(run, told);
    if (told.state === "stopped") return showStopped();
    if (told.state === "at") showStep(told.step);
    if (step.textContent !== told.said) step.textContent = told.said;
    document.title = `${told.said} – ${TITLE}`;
    await new Promise((resolve) => setTimeout(resolve, ASK_AGAIN_MS));
  }
}

/** @param {number} now */
function showStep(now) {
  [...steps.children].forEach((item, place) => {
    item.className = place < now ? "done" : place === now ? "now" : "";
    if (place === now) item.setAttribute("aria-current", "step");
    else item.removeAttribute("aria-current");
  });
}

function showStopped() {
  progress.hidden = true;
  step.textContent = "";
  complain("");
  stopped.textContent = "Stopped." + (report.hidden ? "" : " What stands below is the answer before.");
  document.title = TITLE;
}

/**
 * @param {number} run
 * @param {Done} told
 */
function showAnswer(run, told) {
  progress.hidden = true;
  step.textContent = "";
  answer.innerHTML = told.answer;
  document.title = `${told.said} – ${TITLE}`;
  page.src = `runs/${run}/report.html`;
  files.replaceChildren(...told.files.map((name) => {
    const item = document.createElement("li");
    const link = document.createElement("a");
    link.href = `runs/${run}/${name}`;
    link.textContent = name;
    if (name.endsWith(".html")) link.target = "_blank";
    else link.download = name.split("/").pop() ?? name;
    item.append(link);
    return item;
  }));
  report.hidden = false;
  element("verdict", HTMLElement).focus({ preventScroll: true });
  answer.scrollIntoView({ block: "nearest" });
}

/**
 * Puts a file of the user's into its list.
 * @param {List} list
 * @param {File} file
 */
function addFile(list, file) {
  const { path, number } = TABLES[list];
  return runAlone(async () => {
    refuseLarger(file, TABLE_LIMIT);
    const told = await send(path, file);
    const id = String(told[number]);
    listOf(list).append(new Option(told.name, id, true, true));
    if (list === "plastics") {
      plasticChoices.set(id, told.choices);
      offerPlastics(told.first ?? plastic.value);
    }
    if (state.part) await runCheck(state.part);
  }, file.name);
}

/**
 * Offers the plastics of the file that is chosen.
 * @param {string} wanted What is chosen of them where there is such a one.
 */
function offerPlastics(wanted) {
  const choices = plasticChoices.get(listOf("plastics").value) ?? [];
  plastic.replaceChildren(...choices.map(([value, text]) => new Option(text, value)));
  plastic.value = choices.some(([value]) => value === wanted) ? wanted : firstPlastic;
}

async function stopRun() {
  if (state.run === null) return;
  stop.disabled = true;
  step.textContent = "Stopping …";
  try {
    await ask(`runs/${state.run}/stop`, { method: "POST" });
  } catch (problem) {
    stop.disabled = false;
    complain(messageOf(problem));
  }
}

/**
 * Takes the file that is chosen with `input`; the same file again, exported anew, is a change too.
 * @param {HTMLInputElement} input
 * @param {(file: File) => void} take
 */
function connectInput(input, take) {
  input.addEventListener("click", () => { input.value = ""; });
  input.addEventListener("change", () => {
    if (input.files?.[0]) take(input.files[0]);
  });
}

/**
 * Where a file would go that is dropped here: a list of the user's own files, or the part.
 * @param {Event} event
 */
function dropPlace(event) {
  const field = event.target instanceof Element ? event.target.closest("[data-takes]") : null;
  return field instanceof HTMLElement ? field : drop;
}

/** @param {HTMLElement | null} place */
function markDropPlace(place) {
  for (const each of [drop, ...document.querySelectorAll("[data-takes]")]) each.classList.toggle("over", each === place);
}

/** @param {DragEvent} event */
function takeDropped(event) {
  event.preventDefault();
  markDropPlace(null);
  const file = event.dataTransfer?.files[0];
  const list = LISTS.find((each) => each === dropPlace(event).dataset.takes);
  if (!file) complain("That is no file: drop an STL file.");
  else if (list) addFile(list, file);
  else if (/\.toml$/i.test(file.name)) complain(`${file.name}: drop it on Plastic, Press or Cutters, so that it is known what it is.`);
  else takePart(file);
}

connectInput(part, takePart);
for (const list of LISTS) connectInput(element(`${list}-file`, HTMLInputElement), (file) => addFile(list, file));
listOf("plastics").addEventListener("change", () => offerPlastics(plastic.value));
stop.addEventListener("click", stopRun);
// Nobody waits for a check whose page is closed.
addEventListener("pagehide", () => { if (state.run !== null) navigator.sendBeacon(`runs/${state.run}/stop`); });
form.addEventListener("submit", (event) => {
  event.preventDefault();
  const checked = state.part;
  if (checked) runAlone(() => runCheck(checked), "Check");
});
for (const kind of ["dragenter", "dragover"])
  document.addEventListener(kind, (event) => {
    event.preventDefault();
    markDropPlace(dropPlace(event));
  });
document.addEventListener("dragleave", (event) => {
  if (event.relatedTarget === null) markDropPlace(null);
});
document.addEventListener("drop", takeDropped);
