// @ts-check
// What came of a run, and its files.

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
async function showAnswer(reply) {
  // On a narrow window the answer comes right after the part.
  if (isNarrow()) element("choices", HTMLDetailsElement).open = false;
  if (!await showReport(reply)) return;
  desk.shown = reply;
  if (reply.state === "done") document.title = `${reply.said} – ${reply.part} – ${TITLE}`;
  const files = reply.state === "done" ? reply.files : [];
  filesBox.hidden = files.length === 0;
  fileList.replaceChildren(...(files.length ? [fileLink(reply, "all.zip", "All files (zip)")] : []),
    ...files.map((name) => fileLink(reply, name, name)));
  markStale();
  showRows();
  // Something else was chosen meanwhile.
  if (desk.isQuiet && reply.state === "done") checkByItself();
}

/**
 * Shows the part of a run as it was read, in the place of the answer before.
 * @param {number} run
 */
async function showPart(run) {
  /** @type {Reply} */
  const reply = await ask(`runs/${run}`);
  if (reply.answered || !reply.seen || !await showReport(reply)) return;
  desk.shown = null;
  filesBox.hidden = true;
  markStale();
}

/** How often an answer was asked for: one that comes in after a newer one was asked for is not shown. */
let openings = 0;

/**
 * Shows what came of the run of that number as far as it is known, and puts the focus on it.
 * @param {number} run
 * @param {boolean} isChosen Whether it was chosen in the table.
 */
async function openRun(run, isChosen) {
  const opening = ++openings;
  if (isChosen) {
    clearErrors();
    stoppedLine.textContent = "";
    desk.isQuiet = false;
  }
  try {
    /** @type {Reply} */
    const reply = await ask(`runs/${run}`);
    if (opening !== openings || !reply.answered) return;
    if (isChosen && reply.kind !== "comparison") {
      // What it was asked with, so that it can be changed from there.
      setChoices(reply.request);
      setPart(desk.parts.get(reply.request.part ?? 0) ?? desk.part);
      onChoice();
    }
    const isNew = desk.shown?.run !== run || isChosen;
    await showAnswer(reply);
    if (!isNew || desk.isQuiet) return;
    const verdict = element("verdict", HTMLElement);
    verdict.focus({ preventScroll: true });
    verdict.scrollIntoView({ block: "nearest" });
  } catch (problem) {
    complain(problem, mainForm, desk.isQuiet);
  }
}
