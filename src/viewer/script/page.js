// @ts-check
// The page around the part: units, what is folded, and the ways between a cause and its places.

const MM_PER_INCH = 25.4;

/** Whether lengths are written in inches. */
const usesInches = () => document.documentElement.dataset.units === "in";

/**
 * A length in the unit of the page.
 * @param {number} mm
 */
const lengthText = (mm) => (usesInches() ? `${formatNumber(mm / MM_PER_INCH, 3)} in` : `${formatNumber(mm, 2)} mm`);

/**
 * Opens everything that folds around `element`.
 * @param {Element} element
 */
function unfold(element) {
  for (let at = element.closest("details"); at; at = at.parentElement?.closest("details") ?? null) at.open = true;
}

/** Opens what the address names. */
function unfoldTarget() {
  const target = document.getElementById(location.hash.slice(1));
  if (!target) return;
  unfold(target);
  if (target instanceof HTMLDetailsElement) target.open = true;
  target.scrollIntoView();
}

/**
 * Paper shows what is folded; afterwards it is as it was.
 * @param {AbortSignal} signal
 */
function unfoldForPaper(signal) {
  /** @type {HTMLDetailsElement[]} */
  let opened = [];
  addEventListener("beforeprint", () => {
    opened = [...document.querySelectorAll("details")].filter((each) => !each.open);
    for (const each of opened) each.open = true;
  }, { signal });
  addEventListener("afterprint", () => {
    for (const each of opened) each.open = false;
  }, { signal });
}

/**
 * Writes every quantity of the page in inches, pounds and degrees Fahrenheit, or as it was.
 * @param {boolean} inInches
 */
function writeUnits(inInches) {
  document.documentElement.dataset.units = inInches ? "in" : "mm";
  const quantities = /** @type {NodeListOf<HTMLElement>} */ (document.querySelectorAll("[data-us]"));
  for (const each of quantities) {
    each.dataset.metric ??= each.textContent ?? "";
    each.textContent = (inInches ? each.dataset.us : each.dataset.metric) ?? "";
  }
}

/** @param {AbortSignal} signal Ends what listens beyond the elements of the page. */
function startPage(signal) {
  addEventListener("hashchange", unfoldTarget, { signal });
  if (location.hash) unfoldTarget();
  unfoldForPaper(signal);
  const button = document.querySelector("[data-is=units]");
  if (!(button instanceof HTMLButtonElement)) return;
  button.hidden = false;
  const show = () => { button.textContent = usesInches() ? "Show mm" : "Show inches"; };
  show();
  button.addEventListener("click", () => {
    writeUnits(!usesInches());
    show();
    dispatchEvent(new Event("units"));
  });
}
