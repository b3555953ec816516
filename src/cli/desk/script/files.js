// @ts-check
// Parts and files of the user's that are chosen or dropped.

/** Parts that are still to be read, in order. @type {File[]} */
const waitingParts = [];
let isTaking = false;

/**
 * @param {File} file
 * @param {{ bytes: number, text: string }} limit
 */
function refuseLarger(file, limit) {
  if (file.size > limit.bytes) throw new Refusal(`${file.name}: the file is too large: ${limit.text}`);
}

/**
 * Keeps a part as goodshot calls it, to be shown again.
 * @param {{ part: number, name: string, seen: string }} reply
 * @returns {Part}
 */
function keepPart(reply) {
  const part = { id: reply.part, text: `${reply.name}: ${reply.seen}` };
  desk.parts.set(part.id, part);
  return part;
}

/** @param {Part | null} part */
function setPart(part) {
  desk.part = part;
  partName.textContent = part ? part.text : "";
  checkButton.disabled = part === null;
}

/**
 * Reads parts and checks each, one after the other; none is lost.
 * @param {File[]} files
 */
async function takeParts(files) {
  clearErrors();
  waitingParts.push(...files);
  if (isTaking) return;
  isTaking = true;
  // Of several the answer of the first one is shown; the others stand in the table. A run whose answer is there
  // already, and which only draws, does not hold back the next part.
  let isFirst = desk.awaited === null || desk.shown?.run === desk.awaited;
  for (let file = waitingParts.shift(); file; file = waitingParts.shift()) {
    try {
      await takePart(file, isFirst);
      isFirst = false;
    } catch (problem) {
      complain(new Refusal(messageOf(problem), "part"));
    }
  }
  isTaking = false;
  onChoice();
}

/**
 * @param {File} file
 * @param {boolean} isAwaited
 */
async function takePart(file, isAwaited) {
  refuseLarger(file, PART_LIMIT);
  const more = waitingParts.length;
  partName.textContent = `Reading ${file.name} …` + (more ? ` ${more} more to come.` : "");
  /** @type {Part} */
  let part;
  try {
    part = keepPart(await askUntilFree(() => sendFile("parts", file)));
  } finally {
    setPart(desk.part);
  }
  if (isAwaited || desk.part === null) setPart(part);
  if (isAwaited) desk.isQuiet = false;
  markStale();
  stoppedLine.textContent = "";
  try {
    followRun(await askUntilFree(() => askFor("runs", { ...choicesNow(), part: part.id })), isAwaited);
  } catch (problem) {
    // What is wrong with a choice stands at its field.
    complain(problem);
  }
}

/**
 * Puts a file of the user's into its list.
 * @param {List} list
 * @param {{ id: string, name: string, choices?: Pairs }} own
 */
function addOption(list, own) {
  listOf(list).append(new Option(own.name, own.id));
  if (own.choices) plasticChoices.set(own.id, own.choices);
}

/**
 * Reads a file of the user's and chooses it.
 * @param {List} list
 * @param {File} file
 */
async function takeTable(list, file) {
  const { path, number } = TABLES[list];
  clearErrors();
  try {
    refuseLarger(file, TABLE_LIMIT);
    const reply = await sendFile(path, file);
    const id = String(reply[number]);
    addOption(list, { id, name: reply.name, choices: reply.choices });
    listOf(list).value = id;
    if (list === "plastics") offerPlastics(reply.first ?? plasticField.value);
    onChoice();
    checkByItself();
  } catch (problem) {
    complainAt(messageOf(problem), element(`${list}-file`, HTMLInputElement));
  }
}

/**
 * Takes the files that are chosen with `input`; the same file again, exported anew, is a change too.
 * @param {HTMLInputElement} input
 * @param {(files: File[]) => void} take
 */
function connectInput(input, take) {
  input.addEventListener("click", () => { input.value = ""; });
  input.addEventListener("change", () => {
    if (input.files?.length) take([...input.files]);
  });
}

/**
 * Where a file would go that is dropped here: a list of the user's own files, or the part.
 * @param {Event} event
 */
function placeOf(event) {
  const field = event.target instanceof Element ? event.target.closest("[data-takes]") : null;
  return field instanceof HTMLElement ? field : dropPlace;
}

/** @param {HTMLElement | null} place */
function markPlace(place) {
  for (const each of [dropPlace, ...document.querySelectorAll("[data-takes]")]) each.classList.toggle("over", each === place);
}

/** @param {DragEvent} event */
function takeDropped(event) {
  event.preventDefault();
  markPlace(null);
  const files = [...(event.dataTransfer?.files ?? [])];
  const list = LISTS.find((each) => each === placeOf(event).dataset.takes);
  const table = files.find((file) => /\.toml$/i.test(file.name));
  if (!files.length) complain("That is no file: drop an STL file.");
  else if (list) void takeTable(list, files[0]);
  else if (table) complain(`${table.name}: drop it on Plastic, Press or Cutters, so that it is known what it is.`);
  else void takeParts(files);
}
