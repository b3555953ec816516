// @ts-check
// A file of the user's as a form in a dialog: what comes of it stands beside, worked out by goodshot.

/** @typedef {{ errors: { field: string | null, why: string }[], facts?: Pairs, text?: string }} WorkedOut */

/**
 * A form: what its elements begin with, where its file goes, and the way from its fields to what is sent and back.
 * @typedef {object} FileForm
 * @property {"press" | "plastic" | "cutter"} id
 * @property {List} list
 * @property {() => unknown} read
 * @property {(filled: any) => void} fill
 * @property {() => void} show Shows the fields that count.
 */

const WORK_OUT_MS = 150;

/**
 * The elements of a form, and what was worked out last.
 * @param {FileForm} of
 */
function createFormParts(of) {
  return {
    of, text: "", timer: 0, turn: 0,
    form: element(`${of.id}-form`, HTMLFormElement), dialog: element(`${of.id}-dialog`, HTMLDialogElement),
    problem: element(`${of.id}-problem`, HTMLElement), facts: element(`${of.id}-facts`, HTMLElement),
    save: element(`${of.id}-save`, HTMLAnchorElement), name: element(`${of.id}-name`, HTMLInputElement),
  };
}

/** @typedef {ReturnType<typeof createFormParts>} FormParts */

/**
 * The list of units beside a field, where there is one.
 * @param {HTMLFormElement} form
 * @param {string} name
 */
const unitOf = (form, name) => /** @type {HTMLSelectElement | null} */ (form.querySelector(`[data-unit-of="${name}"]`));

/**
 * The fields of a form that stand for keys of a file.
 * @param {HTMLFormElement} form
 */
const keyFields = (form) => /** @type {(HTMLInputElement | HTMLSelectElement)[]} */ ([...form.elements].filter((field) =>
  (field instanceof HTMLInputElement || field instanceof HTMLSelectElement) && field.name.includes(".")));

/**
 * What stands in the fields, the unit behind the number.
 * @param {HTMLFormElement} form
 */
function readValues(form) {
  /** @type {Pairs} */
  const values = [];
  for (const field of keyFields(form)) {
    if (field.value.trim() === "") continue;
    const unit = unitOf(form, field.name)?.value;
    values.push([field.name, field.value.trim() + (unit ? ` ${unit}` : "")]);
  }
  return values;
}

/**
 * Puts values into the fields; one that is not among them is emptied.
 * @param {HTMLFormElement} form
 * @param {Pairs} pairs
 */
function fillValues(form, pairs) {
  const values = new Map(pairs);
  for (const field of keyFields(form)) {
    const value = values.get(field.name) ?? "", unit = unitOf(form, field.name);
    const [, number, rest] = (unit && /^\s*([-+.\d/eE ]*[\d.])\s*(.*)$/.exec(value)) || [value, value, ""];
    if (field instanceof HTMLSelectElement && value === "") continue;
    field.value = number;
    if (!unit || rest === "") continue;
    if (![...unit.options].some((option) => option.value === rest)) unit.append(new Option(rest, rest));
    unit.value = rest;
  }
}

/**
 * Shows what is wrong, each at its field.
 * @param {FormParts} parts
 * @param {WorkedOut["errors"]} errors
 */
function showFormErrors({ form, problem }, errors) {
  clearErrors();
  problem.hidden = true;
  for (const { field, why } of errors) {
    const found = field === null ? null : form.querySelector(`[name="${field}"]`);
    if (found instanceof HTMLElement) {
      markField(why, found);
    } else {
      problem.textContent = why;
      problem.hidden = false;
    }
  }
}

/**
 * Asks what comes of the form; whether nothing is wrong with it.
 * @param {FormParts} parts
 */
async function workOut(parts) {
  const { of, facts, save } = parts, turn = ++parts.turn;
  of.show();
  try {
    /** @type {WorkedOut} */
    const reply = await askFor(`${of.id}-forms`, of.read());
    // Only the newest answer counts.
    if (turn !== parts.turn) return false;
    showFormErrors(parts, reply.errors);
    const known = reply.facts ?? [];
    facts.replaceChildren(...known.flatMap(([name, value]) => [createElement("dt", name), createElement("dd", value)]));
    if (!known.length)
      facts.replaceChildren(createElement("dt", "Not known yet"), createElement("dd", "Something is wrong with a field."));
    if (!reply.text) return false;
    parts.text = reply.text;
    save.href = `data:application/toml;charset=utf-8,${encodeURIComponent(reply.text)}`;
    save.download = formFileName(parts);
    return true;
  } catch (problem) {
    showFormErrors(parts, [{ field: null, why: messageOf(problem) }]);
    return false;
  }
}

/**
 * A name for the file, from what the user calls it.
 * @param {FormParts} parts
 */
function formFileName({ of, name }) {
  const plain = name.value.trim().replace(/[^\p{L}\p{N} _-]/gu, "");
  return `${plain || of.id}.toml`;
}

/** @param {FormParts} parts */
function onFormChange(parts) {
  clearTimeout(parts.timer);
  parts.of.show();
  parts.timer = setTimeout(() => void workOut(parts), WORK_OUT_MS);
}

/**
 * Takes the file that the form describes for the next check.
 * @param {FormParts} parts
 */
async function useForm(parts) {
  clearTimeout(parts.timer);
  if (!await workOut(parts)) {
    const wrong = parts.form.querySelector("[aria-invalid]");
    if (wrong instanceof HTMLElement) bringIntoView(wrong);
    else if (!parts.problem.hidden) bringIntoView(parts.problem);
    return;
  }
  parts.dialog.close();
  await takeTable(parts.of.list, new File([parts.text], formFileName(parts)));
  listOf(parts.of.list).focus();
}

/**
 * @param {FormParts} parts
 * @param {File} file
 */
async function openFormFile(parts, file) {
  try {
    refuseLarger(file, TABLE_LIMIT);
    parts.of.fill(await sendFile(`${parts.of.id}-files`, file));
    await workOut(parts);
  } catch (problem) {
    showFormErrors(parts, [{ field: null, why: `${file.name}: ${messageOf(problem)}` }]);
    bringIntoView(parts.problem);
  }
}

/** @param {FileForm} of */
function connectForm(of) {
  const parts = createFormParts(of), { form, dialog } = parts;
  element(`${of.id}-describe`, HTMLButtonElement).addEventListener("click", () => {
    dialog.showModal();
    void workOut(parts);
  });
  for (const kind of ["input", "change"]) form.addEventListener(kind, () => onFormChange(parts));
  form.addEventListener("submit", (event) => {
    event.preventDefault();
    void useForm(parts);
  });
  element(`${of.id}-close`, HTMLButtonElement).addEventListener("click", () => dialog.close());
  connectInput(element(`${of.id}-load`, HTMLInputElement), ([file]) => void openFormFile(parts, file));
}
