// @ts-check
// The press as a form: what comes of it stands beside, worked out by goodshot.

/**
 * What stands in the form.
 * @typedef {{ name: string, drive: string, clamp: string, values: Pairs, kept: string, plastic?: string }} Filled
 */

/** @typedef {{ errors: { field: string | null, why: string }[], facts?: Pairs, text?: string }} WorkedOut */

const pressForm = element("press-form", HTMLFormElement), pressDialog = element("press-dialog", HTMLDialogElement);
const pressProblem = element("press-problem", HTMLElement), pressFacts = element("press-facts", HTMLElement);
const pressSave = element("press-save", HTMLAnchorElement);
const WORK_OUT_MS = 150;

/** What the form does not show of a file that was opened. */
const pressFile = { kept: "", text: "", timer: 0, turn: 0 };

/** The fields of the form that stand for keys of the file. */
const pressFields = () => [...pressForm.elements].filter((field) =>
  (field instanceof HTMLInputElement || field instanceof HTMLSelectElement) && field.name.includes("."));

/**
 * The list of units beside a field, where there is one.
 * @param {string} name
 */
const unitOf = (name) => /** @type {HTMLSelectElement | null} */ (pressForm.querySelector(`[data-unit-of="${name}"]`));

/** @param {string} name */
const radioOf = (name) => /** @type {HTMLInputElement | null} */ (pressForm.querySelector(`[name="${name}"]:checked`))?.value ?? "";

/** @returns {Filled} */
function filledPress() {
  /** @type {Pairs} */
  const values = [];
  for (const field of pressFields()) {
    if (!(field instanceof HTMLInputElement || field instanceof HTMLSelectElement) || field.value.trim() === "") continue;
    const unit = unitOf(field.name)?.value;
    values.push([field.name, field.value.trim() + (unit ? ` ${unit}` : "")]);
  }
  const name = element("press-name", HTMLInputElement).value;
  return { name, drive: radioOf("drive"), clamp: radioOf("clamp"), values, kept: pressFile.kept, plastic: plasticField.value };
}

/**
 * Sets the form as a file says.
 * @param {Filled} filled
 */
function fillPress(filled) {
  pressFile.kept = filled.kept;
  element("press-name", HTMLInputElement).value = filled.name;
  for (const name of /** @type {const} */ (["drive", "clamp"])) {
    const radio = pressForm.querySelector(`[name="${name}"][value="${filled[name]}"]`);
    if (radio instanceof HTMLInputElement) radio.checked = true;
  }
  const values = new Map(filled.values);
  for (const field of pressFields()) {
    if (!(field instanceof HTMLInputElement || field instanceof HTMLSelectElement)) continue;
    const value = values.get(field.name) ?? "", unit = unitOf(field.name);
    const [, number, rest] = (unit && /^\s*([-+.\deE]+)\s*(.*)$/.exec(value)) || [value, value, ""];
    if (field instanceof HTMLSelectElement && value === "") continue;
    field.value = number;
    if (!unit || rest === "") continue;
    if (![...unit.options].some((option) => option.value === rest)) unit.append(new Option(rest, rest));
    unit.value = rest;
  }
}

/** Shows the fields of the drive and the clamp that are chosen. */
function showPressKinds() {
  const fields = /** @type {NodeListOf<HTMLElement>} */ (pressForm.querySelectorAll("[data-of]"));
  for (const field of fields) field.hidden = !(field.dataset.of ?? "").split(" ").includes(radioOf(field.dataset.kind ?? ""));
}

/**
 * Shows what is wrong, each at its field.
 * @param {WorkedOut["errors"]} errors
 */
function showPressErrors(errors) {
  clearErrors();
  pressProblem.hidden = true;
  for (const { field, why } of errors) {
    const found = field === null ? null : pressForm.querySelector(`[name="${field}"]`);
    if (found instanceof HTMLElement) {
      markField(why, found);
    } else {
      pressProblem.textContent = why;
      pressProblem.hidden = false;
    }
  }
}

/** Asks what the press can do; whether nothing is wrong with it. */
async function workOutPress() {
  const turn = ++pressFile.turn;
  showPressKinds();
  try {
    /** @type {WorkedOut} */
    const reply = await askFor("press-forms", filledPress());
    // Only the newest answer counts.
    if (turn !== pressFile.turn) return false;
    showPressErrors(reply.errors);
    const facts = reply.facts ?? [];
    pressFacts.replaceChildren(...facts.flatMap(([name, value]) => [createElement("dt", name), createElement("dd", value)]));
    if (!facts.length)
      pressFacts.replaceChildren(createElement("dt", "Not known yet"), createElement("dd", "Something is wrong with a field."));
    if (!reply.text) return false;
    pressFile.text = reply.text;
    pressSave.href = `data:application/toml;charset=utf-8,${encodeURIComponent(reply.text)}`;
    pressSave.download = `${pressFileName()}`;
    return true;
  } catch (problem) {
    showPressErrors([{ field: null, why: messageOf(problem) }]);
    return false;
  }
}

/** A name for the file, from that of the press. */
function pressFileName() {
  const name = element("press-name", HTMLInputElement).value.trim().replace(/[^\p{L}\p{N} _-]/gu, "");
  return `${name || "press"}.toml`;
}

function onPressChange() {
  clearTimeout(pressFile.timer);
  showPressKinds();
  pressFile.timer = setTimeout(() => void workOutPress(), WORK_OUT_MS);
}

/** Takes the press that the form describes for the next check. */
async function usePress() {
  clearTimeout(pressFile.timer);
  if (!await workOutPress()) {
    const wrong = pressForm.querySelector("[aria-invalid]");
    if (wrong instanceof HTMLElement) bringIntoView(wrong);
    else if (!pressProblem.hidden) bringIntoView(pressProblem);
    return;
  }
  pressDialog.close();
  await takeTable("press", new File([pressFile.text], pressFileName()));
  listOf("press").focus();
}

/** @param {File} file */
async function openPressFile(file) {
  try {
    refuseLarger(file, TABLE_LIMIT);
    fillPress(await sendFile("press-files", file));
    await workOutPress();
  } catch (problem) {
    showPressErrors([{ field: null, why: `${file.name}: ${messageOf(problem)}` }]);
    bringIntoView(pressProblem);
  }
}

function connectPress() {
  element("press-describe", HTMLButtonElement).addEventListener("click", () => {
    pressDialog.showModal();
    void workOutPress();
  });
  pressForm.addEventListener("input", onPressChange);
  pressForm.addEventListener("change", onPressChange);
  pressForm.addEventListener("submit", (event) => {
    event.preventDefault();
    void usePress();
  });
  element("press-close", HTMLButtonElement).addEventListener("click", () => pressDialog.close());
  connectInput(element("press-load", HTMLInputElement), ([file]) => void openPressFile(file));
}
