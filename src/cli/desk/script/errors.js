// @ts-check
// What is wrong stands at its field, and is shown.

/** @param {unknown} problem */
const messageOf = (problem) => (problem instanceof Error ? problem.message : String(problem));

/**
 * Shows an element in the middle of the window and puts the focus on it.
 * @param {HTMLElement} shown
 */
function bringIntoView(shown) {
  for (let at = shown.closest("details"); at; at = at.parentElement?.closest("details") ?? null) at.open = true;
  shown.focus({ preventScroll: true });
  shown.scrollIntoView({ block: "center", behavior: isMotionReduced() ? "auto" : "smooth" });
}

/**
 * Takes the complaint at a field away.
 * @param {Element} field
 */
function unmarkField(field) {
  if (!field.hasAttribute("aria-invalid")) return;
  document.getElementById(`${field.id}-error`)?.remove();
  field.removeAttribute("aria-invalid");
  const described = (field.getAttribute("aria-describedby") ?? "").split(" ").filter((id) => !id.endsWith("-error"));
  if (described.join("")) field.setAttribute("aria-describedby", described.join(" "));
  else field.removeAttribute("aria-describedby");
}

/** Takes every complaint away. */
function clearErrors() {
  errorLine.hidden = true;
  errorLine.textContent = "";
  document.querySelectorAll("[aria-invalid]").forEach(unmarkField);
}

/**
 * Writes below a field what is wrong with it.
 * @param {string} text
 * @param {HTMLElement} field
 */
function markField(text, field) {
  unmarkField(field);
  const line = createElement("p", text);
  line.className = "field-error";
  line.id = `${field.id}-error`;
  line.setAttribute("role", "alert");
  field.setAttribute("aria-invalid", "true");
  field.setAttribute("aria-describedby", `${field.getAttribute("aria-describedby") ?? ""} ${line.id}`.trim());
  (field.closest(".switch, .quantity") ?? field).after(line);
}

/**
 * Complains at a field, and shows it.
 * @param {string} text
 * @param {HTMLElement} field
 */
function complainAt(text, field) {
  markField(text, field);
  bringIntoView(field);
}

/**
 * Complains at the field of `form` that the problem is about, or above the answer.
 * @param {unknown} problem
 * @param {HTMLFormElement} [form]
 * @param {boolean} [isQuiet] Whether nothing moves on the screen.
 */
function complain(problem, form = mainForm, isQuiet = false) {
  const text = messageOf(problem);
  document.title = TITLE;
  const name = problem instanceof Refusal ? problem.field : null;
  const field = name === null ? null : form.querySelector(`[name="${name}"]`) ?? mainForm.querySelector(`[name="${name}"]`);
  if (field instanceof HTMLElement) {
    markField(text, field);
    if (!isQuiet) bringIntoView(field);
    return;
  }
  errorLine.textContent = text;
  errorLine.hidden = false;
  if (!isQuiet) bringIntoView(errorLine);
}
