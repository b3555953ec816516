// The page of "goodshot desk". Everything is asked of this same address; names and messages
// are set as text, and the pieces of HTML come escaped from goodshot itself.
"use strict";

(() => {
  const at = (id) => document.getElementById(id);
  const [form, drop, part, plastic, check, stop, stopped, error, answer, progress, steps, step, report, page, files] =
    ["form", "drop", "part", "plastic", "check", "stop", "stopped", "error", "answer", "progress", "steps", "step",
      "report", "page", "files"].map(at);
  const mostPart = Number(document.body.dataset.mostMb) * 1024 * 1024;
  const mostTable = Number(document.body.dataset.mostTableKb) * 1024;
  const title = document.title;
  // The user's own files by the list that they stand in: where each goes, what its number is called there.
  const tables = {
    press: { path: "presses", number: "press" },
    plastics: { path: "plastics", number: "plastics" },
    tools: { path: "cutters", number: "cutters" },
  };
  // What can be chosen of each file of plastics, by its number; of the built-in ones under "".
  const known = new Map([["", [...plastic.options].map((option) => [option.value, option.text])]]);
  let current = null;
  let busy = false;
  let running = null;

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
  async function alone(work, what = "This") {
    if (busy) {
      complain(running === null ? `${what} was not taken: a file is being read. Try again in a moment.`
        : `${what} was not taken: a check is running. Press Stop, or wait until it is done, then try again.`);
      return;
    }
    complain("");
    stopped.textContent = "";
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
    }, file.name);
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
    const own = {};
    for (const [list, { number }] of Object.entries(tables)) own[number] = at(list).value === "" ? null : Number(at(list).value);
    const begun = await ask("runs", {
      method: "POST",
      headers: { "Content-Type": "application/json" },
      body: JSON.stringify({ part: current.id, ...own, chosen }),
    });
    steps.replaceChildren(...begun.steps.map((text) => {
      const item = document.createElement("li");
      item.textContent = text;
      return item;
    }));
    running = begun.run;
    stop.disabled = false;
    progress.hidden = false;
    progress.scrollIntoView({ block: "nearest" });
    try {
      await follow(begun.run);
    } finally {
      running = null;
    }
  }

  // Tells how far a run is until it ends.
  async function follow(run) {
    for (;;) {
      const told = await ask(`runs/${run}`);
      if (told.state === "failed") throw new Error(told.error);
      if (told.state === "done") {
        show(run, told);
        return;
      }
      if (told.state === "stopped") {
        progress.hidden = true;
        step.textContent = "";
        complain("");
        stopped.textContent = "Stopped." + (report.hidden ? "" : " What stands below is the answer before.");
        document.title = title;
        return;
      }
      if (told.state === "at") [...steps.children].forEach((item, place) => {
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

  // Puts a file of the user's into its list.
  function add(list, file) {
    const { path, number } = tables[list];
    return alone(async () => {
      if (file.size > mostTable) throw new Error(`${file.name}: the file is too large: ${document.body.dataset.mostTableKb} KB at most`);
      const told = await send(path, file);
      const id = String(told[number]);
      at(list).append(new Option(told.name, id, true, true));
      if (list === "plastics") {
        known.set(id, told.choices);
        offer(told.first);
      }
      if (current) await run();
    }, file.name);
  }

  // Offers the plastics of the file that is chosen; `wanted`, else the one that was chosen, stays chosen.
  function offer(wanted) {
    const choices = known.get(at("plastics").value), before = wanted ?? plastic.value;
    plastic.replaceChildren(...choices.map(([value, text]) => new Option(text, value)));
    plastic.value = choices.some(([value]) => value === before) ? before : "pp";
  }

  for (const list of Object.keys(tables)) {
    const own = at(`${list}-file`);
    own.addEventListener("click", () => { own.value = ""; });
    own.addEventListener("change", () => { if (own.files[0]) add(list, own.files[0]); });
  }
  at("plastics").addEventListener("change", () => offer());

  stop.addEventListener("click", async () => {
    if (running === null) return;
    stop.disabled = true;
    step.textContent = "Stopping …";
    try {
      await ask(`runs/${running}/stop`, { method: "POST" });
    } catch (problem) {
      stop.disabled = false;
      complain(problem.message);
    }
  });
  // Nobody waits for a check whose page is closed.
  addEventListener("pagehide", () => { if (running !== null) navigator.sendBeacon(`runs/${running}/stop`); });

  form.addEventListener("submit", (event) => {
    event.preventDefault();
    if (current) alone(run, "Check");
  });

  // Where a file would go that is dropped here: a list of the user's own files, or the part.
  const over = (event) => {
    const field = event.target instanceof Element ? event.target.closest("[data-takes]") : null;
    return field ?? drop;
  };
  const mark = (place) => {
    for (const each of [drop, ...document.querySelectorAll("[data-takes]")]) each.classList.toggle("over", each === place);
  };

  for (const kind of ["dragenter", "dragover"]) {
    document.addEventListener(kind, (event) => {
      event.preventDefault();
      mark(over(event));
    });
  }
  document.addEventListener("dragleave", (event) => {
    if (event.relatedTarget === null) mark(null);
  });
  document.addEventListener("drop", (event) => {
    event.preventDefault();
    mark(null);
    const [file] = event.dataTransfer.files;
    const list = over(event).dataset.takes;
    if (!file) complain("That is no file: drop an STL file.");
    else if (list) add(list, file);
    else if (/\.toml$/i.test(file.name)) complain(`${file.name}: drop it on Plastic, Press or Cutters, so that it is known what it is.`);
    else take(file);
  });
})();
