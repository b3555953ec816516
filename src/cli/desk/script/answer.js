// @ts-check
// What came of a run, and its files.

const REPORT_TITLES = { check: "Report", mold: "Mold", comparison: "Comparison" };

/** Whether the answer stands below the form. */
const isNarrow = () => matchMedia("(max-width: 52rem)").matches;

/**
 * A link to a file of a run.
 * @param {Told} told
 * @param {string} name
 * @param {string} text
 */
function fileLink(told, name, text) {
  const item = document.createElement("li");
  const link = createElement("a", text);
  link.href = `runs/${told.run}/${name}`;
  const stem = told.part.replace(/\.stl$/i, "");
  if (name.endsWith(".html")) link.target = "_blank";
  else link.download = name === "all.zip" ? `${stem}-${told.kind}.zip` : name.split("/").pop() ?? name;
  item.append(link);
  return item;
}

/** @param {Told} told */
function showAnswer(told) {
  desk.shown = told;
  // On a narrow window the answer comes right after the part.
  if (isNarrow()) element("choices", HTMLDetailsElement).open = false;
  progressBox.hidden = true;
  stepLine.textContent = "";
  answerBox.innerHTML = told.answer;
  document.title = `${told.said} – ${TITLE}`;
  element("report-title", HTMLElement).textContent = REPORT_TITLES[told.kind];
  reportBox.hidden = told.files.length === 0;
  reportFrame.hidden = told.page === null;
  if (told.page === null) reportFrame.removeAttribute("src");
  else reportFrame.src = `runs/${told.run}/${told.page}`;
  fileList.replaceChildren(...(told.files.length ? [fileLink(told, "all.zip", "All files (zip)")] : []),
    ...told.files.map((name) => fileLink(told, name, name)));
  markStale();
  showRows();
}

/**
 * Shows what came of the run of that number, and puts the focus on it.
 * @param {number} run
 * @param {boolean} isChosen Whether it was chosen in the table.
 */
async function openRun(run, isChosen) {
  clearErrors();
  stoppedLine.textContent = "";
  try {
    /** @type {Told} */
    const told = await ask(`runs/${run}`);
    if (told.state !== "done") return;
    if (isChosen && told.kind !== "comparison") {
      // What it was asked with, so that it can be changed from there.
      setChoices(told.request);
      setPart(desk.parts.get(told.request.part ?? 0) ?? desk.part);
      onChoice();
    }
    showAnswer(told);
    const verdict = element("verdict", HTMLElement);
    verdict.focus({ preventScroll: true });
    verdict.scrollIntoView({ block: "nearest" });
  } catch (problem) {
    complain(problem);
  }
}
