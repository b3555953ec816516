// The page of "goodshot desk". Everything is asked of this same address; names and messages
// are set as text, and the pieces of HTML come escaped from goodshot itself.
"use strict";

(() => {
  const at = (id) => document.getElementById(id);
  const [form, drop, part, press, pressFile, check, error, answer, progress, steps, step, report, page, files] =
    ["form", "drop", "part", "press", "press-file", "check", "error", "answer", "progress", "steps", "step",
      "report", "page", "files"].map(at);
  const mostPart = Number(document.body.dataset.mostMb) * 1024 * 1024;
  const mostPress = Number(document.body.dataset.mostPressKb) * 1024;
  const title = document.title;
  let current = null;
  let busy = false;

  function complain(text) {
    error.textContent = text;
    error.hidden = text === "";
    if (text !== "") document.title = title;
  }

  async function ask(path, options) {
    let response;
    try {
      response = await fetch(path, options);
    } catch {
      throw new Error("goodshot does not answer: is it still running in its terminal?");
    }
    const told = await response.json().catch(() => ({}));
    if (!response.ok) throw new Error(told.error || `goodshot refused this (${response.status}).`);
    return told;
  }

  function send(path, file) {
    return ask(`${path}?name=${encodeURIComponent(file.name)}`, { method: "POST", body: file });
  }

  function set(isBusy) {
    busy = isBusy;
    check.disabled = isBusy || current === null;
    form.setAttribute("aria-busy", String(isBusy));
  }

  // Runs one thing at a time and says what went wrong.
  async function alone(work) {
    if (busy) return;
    complain("");
    set(true);
    try {
      await work();
    } catch (problem) {
      progress.hidden = true;
      complain(problem.message);
    } finally {
      set(false);
    }
  }

  async function take(file) {
    await alone(async () => {
      if (file.size > mostPart) throw new Error(`${file.name}: the file is too large: ${document.body.dataset.mostMb} MB at most; a coarser export is enough`);
      at("part-name").textContent = `Reading ${file.name} …`;
      let told;
      try {
        told = await send("parts", file);
      } catch (problem) {
        at("part-name").textContent = current ? current.text : "";
        throw problem;
      }
      current = { id: told.part, text: `${told.name}: ${told.seen}` };
      at("part-name").textContent = current.text;
      await run();
    });
  }

  async function run() {
    const chosen = [];
    for (const field of form.elements) {
      if (!field.name) continue;
      if (field.type === "checkbox") {
        if (field.checked) chosen.push([field.name, "on"]);
      } else if (field.value.trim() !== "") {
        chosen.push([field.name, field.value]);
      }
    }
    const own = press.value === "" ? null : Number(press.value);
    const begun = await ask("runs", {
      method: "POST",
      headers: { "Content-Type": "application/json" },
      body: JSON.stringify({ part: current.id, press: own, chosen }),
    });
    steps.replaceChildren(...begun.steps.map((text) => {
      const item = document.createElement("li");
      item.textContent = text;
      return item;
    }));
    progress.hidden = false;
    progress.scrollIntoView({ block: "nearest" });
    for (;;) {
      const told = await ask(`runs/${begun.run}`);
      if (told.state === "failed") throw new Error(told.error);
      if (told.state === "done") {
        show(begun.run, told);
        return;
      }
      [...steps.children].forEach((item, place) => {
        item.className = place < told.step ? "done" : place === told.step ? "now" : "";
        if (place === told.step) item.setAttribute("aria-current", "step");
        else item.removeAttribute("aria-current");
      });
      if (step.textContent !== told.said) step.textContent = told.said;
      document.title = `${told.said} – ${title}`;
      await new Promise((go) => setTimeout(go, 200));
    }
  }

  function show(run, told) {
    progress.hidden = true;
    step.textContent = "";
    answer.innerHTML = told.answer;
    document.title = `${told.said} – ${title}`;
    page.src = `runs/${run}/report.html`;
    files.replaceChildren(...told.files.map((name) => {
      const item = document.createElement("li");
      const link = document.createElement("a");
      link.href = `runs/${run}/${name}`;
      link.textContent = name;
      if (name.endsWith(".html")) link.target = "_blank";
      else link.download = name.split("/").pop();
      item.append(link);
      return item;
    }));
    report.hidden = false;
    at("verdict").focus({ preventScroll: true });
    answer.scrollIntoView({ block: "nearest" });
  }

  part.addEventListener("change", () => {
    if (part.files.length > 0) take(part.files[0]);
  });
  // The same file again, exported anew, must be a change too.
  part.addEventListener("click", () => { part.value = ""; });

  pressFile.addEventListener("click", () => { pressFile.value = ""; });
  pressFile.addEventListener("change", () => {
    const file = pressFile.files[0];
    if (!file) return;
    alone(async () => {
      if (file.size > mostPress) throw new Error(`${file.name}: the file is too large for a press file`);
      const told = await send("presses", file);
      press.append(new Option(told.name, String(told.press), true, true));
      if (current) await run();
    });
  });

  form.addEventListener("submit", (event) => {
    event.preventDefault();
    if (current) alone(run);
  });

  for (const kind of ["dragenter", "dragover"]) {
    document.addEventListener(kind, (event) => {
      event.preventDefault();
      drop.classList.add("over");
    });
  }
  document.addEventListener("dragleave", (event) => {
    if (event.relatedTarget === null) drop.classList.remove("over");
  });
  document.addEventListener("drop", (event) => {
    event.preventDefault();
    drop.classList.remove("over");
    const [file] = event.dataTransfer.files;
    if (!file) complain("That is no file: drop an STL file.");
    else take(file);
  });
})();
