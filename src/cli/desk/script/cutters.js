// @ts-check
// The user's own cutters as a form: a row each.

/**
 * What stands in the form: key and text of each cutter.
 * @typedef {{ name: string, holder: string, cutters: Pairs[] }} FilledCutters
 */

const cutterName = element("cutter-name", HTMLInputElement), cutterHolder = element("cutter-holder", HTMLInputElement);
const cutterRows = element("cutter-rows", HTMLElement), cutterRow = element("cutter-row", HTMLTemplateElement);
const cutterUnit = element("cutter-unit", HTMLSelectElement);
// What is a size, and may be written without a unit.
const SIZES = new Set(["holder", "diameter", "flute", "reach", "shank", "stickout", "corner_radius"]);

/**
 * A size with its unit: the usual one where none was written.
 * @param {string} key
 * @param {string} text
 */
function withUnit(key, text) {
  const plain = text.trim();
  return SIZES.has(key) && /^[-+.,\d/½¼¾⅛⅜⅝⅞ ]+$/.test(plain) ? `${plain} ${cutterUnit.value}` : plain;
}

/** @param {Element} row */
const cutterFields = (row) => /** @type {NodeListOf<HTMLInputElement | HTMLSelectElement>} */ (row.querySelectorAll("[data-key]"));

/** Numbers the rows, so that what is wrong finds its field. */
function numberRows() {
  [...cutterRows.children].forEach((row, place) => {
    const number = row.querySelector("[data-is=number]");
    if (number) number.textContent = String(place + 1);
    for (const field of cutterFields(row)) {
      field.name = `cutter.${place}.${field.dataset.key}`;
      field.id = `cutter-${place}-${field.dataset.key}`;
      row.querySelector(`[data-for="${field.dataset.key}"]`)?.setAttribute("for", field.id);
    }
  });
}

/** @param {Pairs} values */
function addCutter(values) {
  const row = cutterRow.content.firstElementChild?.cloneNode(true);
  if (!(row instanceof HTMLElement)) return;
  const known = new Map(values);
  for (const field of cutterFields(row)) if (known.has(field.dataset.key ?? "")) field.value = known.get(field.dataset.key ?? "") ?? "";
  row.querySelector("[data-is=remove]")?.addEventListener("click", () => {
    row.remove();
    numberRows();
    element("cutter-add", HTMLButtonElement).focus();
    cutterRows.dispatchEvent(new Event("change", { bubbles: true }));
  });
  cutterRows.append(row);
}

/** @type {FileForm} */
const CUTTER_FORM = {
  id: "cutter", list: "tools",
  read: () => ({
    name: cutterName.value, holder: withUnit("holder", cutterHolder.value),
    cutters: [...cutterRows.children].map((row) => [...cutterFields(row)]
      .filter((field) => field.value.trim() !== "")
      .map((field) => [field.dataset.key ?? "", withUnit(field.dataset.key ?? "", field.value)])),
  }),
  fill: (/** @type {FilledCutters} */ filled) => {
    cutterName.value = filled.name;
    cutterHolder.value = filled.holder;
    cutterRows.replaceChildren();
    filled.cutters.forEach(addCutter);
    numberRows();
  },
  // A ball has its radius from its diameter; only a tapered one has a taper.
  show: () => {
    for (const row of cutterRows.children) {
      const [kind] = [...cutterFields(row)].filter((field) => field.dataset.key === "kind");
      for (const field of cutterFields(row)) {
        const { key } = field.dataset, place = field.closest(".field");
        const isLeftOut = (key === "taper" && kind.value !== "tapered")
          || (key === "corner_radius" && kind.value !== "bull" && kind.value !== "tapered");
        if (place instanceof HTMLElement) place.hidden = isLeftOut;
        if (isLeftOut) field.value = "";
      }
    }
  },
};

function connectCutters() {
  connectForm(CUTTER_FORM);
  if (cutterRows.dataset.first) CUTTER_FORM.fill(JSON.parse(cutterRows.dataset.first));
  element("cutter-add", HTMLButtonElement).addEventListener("click", () => {
    const last = cutterRows.lastElementChild;
    const alike = last ? [...cutterFields(last)].filter((field) => field.dataset.key !== "name") : [];
    addCutter(alike.map((field) => [field.dataset.key ?? "", field.value]));
    numberRows();
    cutterRows.lastElementChild?.querySelector("select")?.focus();
    cutterRows.dispatchEvent(new Event("change", { bubbles: true }));
  });
}
