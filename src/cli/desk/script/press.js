// @ts-check
// The press as a form.

/**
 * What stands in the form.
 * @typedef {{ name: string, drive: string, clamp: string, values: Pairs, kept: string, plastic?: string }} FilledPress
 */

const pressForm = element("press-form", HTMLFormElement), pressName = element("press-name", HTMLInputElement);

/** What the form does not show of a file that was opened. */
let keptOfPress = "";

/** @param {string} name */
const radioOf = (name) => /** @type {HTMLInputElement | null} */ (pressForm.querySelector(`[name="${name}"]:checked`))?.value ?? "";

/** @type {FileForm} */
const PRESS_FORM = {
  id: "press", list: "press",
  read: () => ({
    name: pressName.value, drive: radioOf("drive"), clamp: radioOf("clamp"), values: readValues(pressForm),
    kept: keptOfPress, plastic: plasticField.value,
  }),
  fill: (/** @type {FilledPress} */ filled) => {
    keptOfPress = filled.kept;
    pressName.value = filled.name;
    for (const name of /** @type {const} */ (["drive", "clamp"])) {
      const radio = pressForm.querySelector(`[name="${name}"][value="${filled[name]}"]`);
      if (radio instanceof HTMLInputElement) radio.checked = true;
    }
    fillValues(pressForm, filled.values);
  },
  // The fields of the drive and the clamp that are chosen.
  show: () => {
    const fields = /** @type {NodeListOf<HTMLElement>} */ (pressForm.querySelectorAll("[data-of]"));
    for (const field of fields) field.hidden = !(field.dataset.of ?? "").split(" ").includes(radioOf(field.dataset.kind ?? ""));
  },
};
