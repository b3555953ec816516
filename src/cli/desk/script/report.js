// @ts-check
// The report of a run within this page: the words and pictures of its own file, and the part to be turned.

/** What is shown: what ends it, of which run it is, and its units. */
const shownReport = { end: new AbortController(), turn: 0, run: 0, ownUnits: "mm", chosenUnits: "" };

/**
 * The file of a run that shows all of it, read but not run.
 * @param {Reply} reply
 */
async function readPage(reply) {
  if (reply.page === null) return null;
  let response;
  try {
    response = await fetch(`runs/${reply.run}/${reply.page}`);
  } catch {
    throw new Refusal(NO_ANSWER);
  }
  if (!response.ok) throw new Refusal("This report is no longer kept: check the part again.");
  // Its style is part of this page's already.
  const text = (await response.text()).replace(/<style>[^<]*<\/style>/, "");
  return new DOMParser().parseFromString(text, "text/html");
}

/** Where the part will be, so that nothing moves when it comes. */
function createWaitingPart() {
  const section = document.createElement("section"), stand = document.createElement("div");
  section.className = "solid";
  stand.className = "stand waiting";
  stand.append(createElement("p", "The pictures and the part to be turned follow in a moment."));
  section.append(stand);
  return section;
}

/**
 * Takes the pieces of a page that has been read: its head, what it says, and the data of the part.
 * @param {Document} read
 * @param {HTMLElement} own What stands after the first screen.
 * @param {Element | null} part What shows the part, where the page does not bring it.
 */
function takePieces(read, own, part) {
  const head = read.querySelector("header.top"), body = document.createElement("div");
  body.className = "report";
  // Data do not run, and nothing else that could is taken.
  const data = read.querySelectorAll("script#scene, script#surface");
  body.append(...read.querySelector("main")?.children ?? []);
  const first = body.querySelector(".first");
  if (first) first.after(own);
  else body.append(own);
  if (part && !body.querySelector("#solid")) first?.append(part);
  const answer = head?.querySelector(":scope > .verdict") ?? head?.querySelector("h1");
  if (answer instanceof HTMLElement) {
    answer.id = "verdict";
    answer.tabIndex = -1;
  }
  return [...head ? [head] : [], body, ...data];
}

/** Sets the units of the page: those of the report, or those that were chosen since. */
function setUnits(/** @type {string} */ ownUnits) {
  // Other units in the report are a newer choice than the switch.
  if (ownUnits !== shownReport.ownUnits) shownReport.chosenUnits = "";
  shownReport.ownUnits = ownUnits;
  document.documentElement.dataset.units = ownUnits;
  if (shownReport.chosenUnits && shownReport.chosenUnits !== ownUnits) writeUnits(shownReport.chosenUnits === "in");
}

/**
 * Shows what came of a run in the place of what was shown before; whether it is the newest that was asked for.
 * @param {Reply} reply
 */
async function showReport(reply) {
  const turn = ++shownReport.turn;
  const read = await readPage(reply);
  if (turn !== shownReport.turn) return false;
  const isSame = shownReport.run === reply.run, top = scrollY;
  const opened = [...answerBox.querySelectorAll("details[id][open]")].map((each) => each.id);
  const hadFocus = answerBox.contains(document.activeElement);
  const isWaiting = reply.kind === "check" && reply.state !== "done";
  // A part that is shown already goes on being shown until the pictures are there.
  const turned = isWaiting && isSame ? answerBox.querySelector("#solid") : null;
  if (!turned) {
    shownReport.end.abort();
    shownReport.end = new AbortController();
  }
  shownReport.run = reply.run;
  document.documentElement.classList.toggle("turns", isWaiting);
  const own = document.createElement("div");
  own.className = "own";
  own.innerHTML = reply.answer;
  answerBox.replaceChildren(...read ? takePieces(read, own, isWaiting ? turned ?? createWaitingPart() : null) : [own]);
  for (const each of answerBox.querySelectorAll("details[id]"))
    if (isSame && each instanceof HTMLDetailsElement && opened.includes(each.id)) each.open = true;
  setUnits(read?.documentElement.dataset.units ?? "mm");
  if (turned) startPage(shownReport.end.signal);
  else await startReport(shownReport.end.signal);
  if (isSame) scrollTo(0, top);
  if (isSame && hadFocus) document.getElementById("verdict")?.focus({ preventScroll: true });
  return true;
}

addEventListener("units", () => { shownReport.chosenUnits = document.documentElement.dataset.units ?? ""; });
