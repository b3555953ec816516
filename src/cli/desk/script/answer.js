// @ts-check
// What came of a run, and its files.

const REPORT_TITLES = { check: "Report", mold: "Mold", comparison: "Comparison" };

/** Whether the answer stands below the form. */
const isNarrow = () => matchMedia("(max-width: 52rem)").matches;

/**
 * A link to a file of a run.
 * @param {Reply} reply
 * @param {string} name
 * @param {string} text
 */
function fileLink(reply, name, text) {
  const item = document.createElement("li");
  const link = createElement("a", text);
  link.href = `runs/${reply.run}/${name}`;
  const stem = reply.part.replace(/\.stl$/i, "");
  if (name.endsWith(".html")) link.target = "_blank";
  else link.download = name === "all.zip" ? `${stem}-${reply.kind}.zip` : name.split("/").pop() ?? name;
  item.append(link);
  return item;
}

/** @param {Reply} reply */
function showAnswer(reply) {
  desk.shown = reply;
  // On a narrow window the answer comes right after the part.
  if (isNarrow()) element("choices", HTMLDetailsElement).open = false;
  progressBox.hidden = true;
  stepLine.textContent = "";
  answerBox.innerHTML = reply.answer;
  document.title = `${reply.said} – ${TITLE}`;
  element("report-title", HTMLElement).textContent = REPORT_TITLES[reply.kind];
  reportBox.hidden = reply.files.length === 0;
  reportFrame.hidden = reply.page === null;
  if (reply.page === null) reportFrame.removeAttribute("src");
  else reportFrame.src = `runs/${reply.run}/${reply.page}`;
  fileList.replaceChildren(...(reply.files.length ? [fileLink(reply, "all.zip", "All files (zip)")] : []),
    ...reply.files.map((name) => fileLink(reply, name, name)));
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
    /** @type {Reply} */
    const reply = await ask(`runs/${run}`);
    if (reply.state !== "done") return;
    if (isChosen && reply.kind !== "comparison") {
      // What it was asked with, so that it can be changed from there.
      setChoices(reply.request);
      setPart(desk.parts.get(reply.request.part ?? 0) ?? desk.part);
      onChoice();
    }
    showAnswer(reply);
    const verdict = element("verdict", HTMLElement);
    verdict.focus({ preventScroll: true });
    verdict.scrollIntoView({ block: "nearest" });
  } catch (problem) {
    complain(problem);
  }
}
