// @ts-check
// The table of runs, and how far each is.

const runRows = element("run-rows", HTMLElement), compareButton = element("compare", HTMLButtonElement);
const WATCH_MS = 200;
// A folder is looked at so often while nothing goes on.
const FOLDER_MS = 1000;
const GOES_ON = new Set(["waiting", "at", "stopping"]);

/** @type {Set<number>} */
const marked = new Set();

/** @param {Row} row */
const goesOn = (row) => GOES_ON.has(row.state);

/**
 * @param {Row} row
 * @param {string} what
 * @param {() => void} act
 */
function rowButton(row, what, act) {
  const button = createElement("button", what);
  button.type = "button";
  button.className = "second small";
  button.dataset.run = String(row.run);
  button.dataset.act = what;
  button.setAttribute("aria-label", `${what} ${row.kind} of ${row.part}, ${row.said}`);
  button.addEventListener("click", act);
  return button;
}

/** @param {Row} row */
function compareBox(row) {
  const box = document.createElement("input");
  box.type = "checkbox";
  box.checked = marked.has(row.run);
  box.dataset.run = String(row.run);
  box.dataset.act = "mark";
  box.setAttribute("aria-label", `Compare ${row.part}, ${row.said}`);
  box.addEventListener("change", () => {
    if (box.checked) marked.add(row.run);
    else marked.delete(row.run);
    compareButton.disabled = marked.size !== 2;
  });
  return box;
}

/** @param {Row} row */
function createRow(row) {
  const line = document.createElement("tr");
  const cells = [0, 1, 2, 3, 4].map(() => document.createElement("td"));
  const [mark, part, changed, said, act] = cells;
  if (row.kind === "check" && row.state === "done") mark.append(compareBox(row));
  part.textContent = row.kind === "check" ? row.part : `${row.part} (${row.kind})`;
  changed.textContent = row.changed;
  const badge = createElement("span", row.said);
  badge.className = row.look ? `badge ${row.look}` : "";
  said.append(badge);
  if (row.state === "done") act.append(rowButton(row, "Open", () => void openRun(row.run, true)));
  if (row.state === "waiting" || row.state === "at") act.append(rowButton(row, "Stop", () => void stopRun(row.run)));
  if (desk.shown?.run === row.run) {
    line.setAttribute("aria-current", "true");
    line.className = "shown";
  }
  line.append(...cells);
  return line;
}

/** Shows the runs, the newest first; what has the focus keeps it. */
function showRows() {
  const focused = document.activeElement instanceof HTMLElement ? document.activeElement.dataset : {};
  const { run, act } = focused;
  runRows.replaceChildren(...[...desk.rows].reverse().map(createRow));
  if (run) /** @type {HTMLElement | null} */ (runRows.querySelector(`[data-run="${run}"][data-act="${act}"]`))?.focus();
  element("runs", HTMLElement).hidden = desk.rows.length < 2;
  for (const id of marked) if (!desk.rows.some((row) => row.run === id)) marked.delete(id);
  compareButton.disabled = marked.size !== 2;
}

/**
 * Shows how far the run is that one waits for.
 * @param {Row} row
 */
function showProgress(row) {
  progressBox.hidden = false;
  element("progress-title", HTMLElement).textContent =
    {
      check: `Checking ${row.part}`, mold: `Making the mold of ${row.part}`, comparison: "Comparing",
      diagnosis: `Looking for the cause in ${row.part}`,
    }[row.kind];
  if (stepList.dataset.run !== String(row.run)) {
    stepList.dataset.run = String(row.run);
    stepList.replaceChildren(...row.steps.map((text) => createElement("li", text)));
    stopButton.disabled = false;
  }
  [...stepList.children].forEach((item, place) => {
    const at = row.step ?? -1;
    item.className = place < at ? "done" : place === at ? "now" : "";
    if (place === at) item.setAttribute("aria-current", "step");
    else item.removeAttribute("aria-current");
  });
  if (stepLine.textContent !== row.said) stepLine.textContent = row.said;
  progressBox.classList.toggle("short", row.answered || desk.isQuiet);
  document.title = `${row.said} – ${TITLE}`;
}

/**
 * Shows another part as soon as it is read, and the answer as soon as it is known; pictures follow.
 * @param {Row} row
 */
async function showEarly(row) {
  if (row.state === "stopping" || desk.shown?.run === row.run) return;
  const isOther = desk.shown?.request.part !== row.request.part;
  if (row.answered) await openRun(row.run, false);
  else if (row.seen && isOther && shownReport.run !== row.run) await showPart(row.run);
}

/**
 * What the end of the run that one waits for shows.
 * @param {Row} row
 */
async function endRun(row) {
  desk.awaited = null;
  progressBox.hidden = true;
  stepLine.textContent = "";
  document.title = TITLE;
  if (row.state === "done") await openRun(row.run, false);
  else if (row.state === "failed") complain(new Refusal(row.said), mainForm, desk.isQuiet);
  else stoppedLine.textContent = "Stopped." + (desk.shown ? " What stands below is the answer before." : "");
}

/**
 * Shows the newest part that came into the folder that is watched, and waits for its answer.
 * @param {Row[]} before
 */
async function takeFromFolder(before) {
  const known = new Set(before.map((row) => row.run));
  const newest = [...desk.rows].reverse().find((row) => row.from_folder && !known.has(row.run));
  if (!newest) return;
  const reply = await ask("session");
  reply.parts.forEach(keepPart);
  setPart(desk.parts.get(newest.request.part ?? 0) ?? desk.part);
  Object.assign(desk, { awaited: newest.run, isQuiet: true });
  markStale();
}

/** Follows the runs until none goes on; a folder that is watched is looked at all the time. */
async function watchRuns() {
  if (desk.isWatching) return;
  desk.isWatching = true;
  let isBroken = false;
  try {
    for (;;) {
      /** @type {{ runs: Row[], notice: string | null }} */
      const reply = await ask("runs");
      const isNew = JSON.stringify(reply.runs) !== JSON.stringify(desk.rows);
      const before = desk.rows;
      desk.rows = reply.runs;
      if (WATCHES_FOLDER && isNew) await takeFromFolder(before);
      notice.hidden = reply.notice === null;
      if (notice.textContent !== reply.notice) notice.textContent = reply.notice;
      if (isNew) showRows();
      const awaited = desk.rows.find((row) => row.run === desk.awaited);
      if (awaited && goesOn(awaited)) {
        showProgress(awaited);
        await showEarly(awaited);
      } else if (awaited) {
        await endRun(awaited);
      }
      const isBusy = desk.rows.some(goesOn);
      if (!isBusy && !WATCHES_FOLDER) break;
      await waitFor(isBusy ? WATCH_MS : FOLDER_MS);
    }
  } catch (problem) {
    isBroken = true;
    progressBox.hidden = true;
    complain(problem);
  } finally {
    desk.isWatching = false;
  }
  // One that began while the last answer came in.
  if (!isBroken && desk.rows.some(goesOn)) void watchRuns();
}

/**
 * Follows a run that has begun.
 * @param {Row} row
 * @param {boolean} isAwaited Whether its answer is shown as soon as it is there.
 */
function followRun(row, isAwaited) {
  desk.rows = [...desk.rows.filter((each) => each.run !== row.run), row];
  if (isAwaited) {
    desk.awaited = row.run;
    showProgress(row);
  }
  void showKept();
  showRows();
  void watchRuns();
}

/**
 * Checks the part that is there with what is chosen.
 * @param {boolean} isQuiet Whether it begins by itself, and moves nothing on the screen.
 */
async function beginCheck(isQuiet) {
  clearErrors();
  stoppedLine.textContent = "";
  desk.isQuiet = isQuiet;
  try {
    const before = desk.rows.find((row) => row.run === desk.awaited && goesOn(row));
    const begun = await askFor("runs", choicesNow());
    // What is out of date already is not waited for.
    if (isQuiet && before?.kind === "check") void askFor(`runs/${before.run}/stop`, {}).catch(() => {});
    followRun(begun, true);
    if (!isQuiet) progressBox.scrollIntoView({ block: "nearest" });
  } catch (problem) {
    complain(problem, mainForm, isQuiet);
  }
}

/**
 * Makes the mold of the check that is shown, or looks for the cause of a bad part.
 * @param {HTMLFormElement} form
 */
async function beginFromCheck(form) {
  clearErrors();
  stoppedLine.textContent = "";
  desk.isQuiet = false;
  try {
    followRun(await askFor(form.id === "shot-form" ? "diagnoses" : "molds", { run: desk.shown?.run, chosen: chosenOptions(form) }), true);
    progressBox.scrollIntoView({ block: "nearest" });
  } catch (problem) {
    complain(problem, form);
  }
}

/** Compares the two that are marked, the older one before. */
async function beginComparison() {
  clearErrors();
  const [before, after] = [...marked].sort((a, b) => a - b);
  desk.isQuiet = false;
  try {
    followRun(await askFor("comparisons", { before, after }), true);
  } catch (problem) {
    complain(problem);
  }
}

/** @param {number} run */
async function stopRun(run) {
  if (run === desk.awaited) {
    stopButton.disabled = true;
    stepLine.textContent = "Stopping …";
  }
  try {
    await askFor(`runs/${run}/stop`, {});
    void watchRuns();
  } catch (problem) {
    stopButton.disabled = false;
    complain(problem);
  }
}
