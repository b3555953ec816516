// The part under the hand: camera, controls, what is read, and flights to findings.

function viewer(root, scene, solid) {
  const find = (name) => root.querySelector(`[data-is="${name}"]`);
  const canvas = find("canvas"), readout = find("readout");
  const calm = matchMedia("(prefers-reduced-motion: reduce)");
  const size = scene.step.map((step) => step * 65534);
  const middle = scene.low.map((low, i) => low + size[i] / 2);
  const diagonal = Math.hypot(...size) || 1;
  const pull = scene.pull;
  const helper = Math.abs(pull[2]) > 0.9 ? [1, 0, 0] : [0, 0, 1];
  const ahead = unit(add(helper, pull, -dot(helper, pull)));
  const aside = cross(pull, ahead);
  const home = { turn: -1.0, lift: 0.5, target: middle, half: diagonal * 0.56 };
  const corners = [0, 1, 2, 3, 4, 5, 6, 7].map((i) => size.map((edge, axis) => ((i >> axis) & 1 ? 0.5 : -0.5) * edge));
  const state = {
    ...home, field: 1, apart: 0, cutAxis: "none", cutShare: 0.5, until: -1, hidden: null,
    show: { finding: true, parting: true, gate: true, vent: true, pin: true },
  };
  for (const mark of scene.marks)
    mark.show = mark.finding !== null ? "finding" : { G: "gate", V: "vent", P: "pin" }[mark.text];
  let gl, drawn, waiting = false, flight = 0, pointerAt = null, frames = 0, moving = false, rest = 0, held = false;
  // A part of so many facets that takes so many milliseconds to draw has a coarse stand-in while the hand moves.
  const MANY = 60000, SLOW = 25, REST = 200, WANTED = 60;

  function begin() {
    gl = canvas.getContext("webgl2", { antialias: true, alpha: false, stencil: true });
    if (!gl) return false;
    drawn = stage(gl, scene, solid);
    return true;
  }

  function axes({ turn, lift } = state) {
    const flat = add(ahead.map((x) => x * Math.cos(turn)), aside, Math.sin(turn));
    const back = add(flat.map((x) => x * Math.cos(lift)), pull, Math.sin(lift));
    const right = add(aside.map((x) => x * Math.cos(turn)), ahead, -Math.sin(turn));
    return { right, up: cross(back, right), back };
  }

  // All of the part, seen from `turn` and `lift`.
  function whole({ turn, lift }) {
    const { right, up } = axes({ turn, lift });
    const reach = (axis) => Math.max(...corners.map((corner) => dot(corner, axis)));
    const shape = (canvas.clientWidth || 1) / (canvas.clientHeight || 1);
    return { turn, lift, target: middle, half: 1.12 * Math.max(reach(up), reach(right) / shape) };
  }

  // The plane that cuts: what lies beyond it along its normal is left out.
  function plane(back) {
    if (state.hidden) return [...state.hidden.look, dot(state.hidden.look, state.hidden.at) + diagonal * 0.002];
    const normal = { pull: pull.map((x) => -x), ahead: ahead.map((x) => -x), aside: aside.map((x) => -x), eye: back }[state.cutAxis];
    if (!normal) return [0, 0, 0, 1];
    const spans = normal.map((n, i) => Math.abs(n) * size[i] / 2);
    const reach = spans[0] + spans[1] + spans[2];
    return [...normal, dot(normal, middle) + reach * (2 * state.cutShare - 1)];
  }

  // Corners of the plane that cuts, where what it cuts is closed: the part whole and with all of its surface.
  function section(cut) {
    if (!scene.closed || state.apart > 0 || state.until >= 0 || Math.hypot(cut[0], cut[1], cut[2]) < 0.5) return null;
    const normal = cut.slice(0, 3), along = unit(cross(normal, Math.abs(normal[0]) < 0.7 ? [1, 0, 0] : [0, 1, 0]));
    const across = cross(normal, along), foot = add(middle, normal, cut[3] - dot(normal, middle));
    return [[-1, -1], [1, -1], [-1, 1], [1, 1]].flatMap(([a, b]) => add(add(foot, along, a * diagonal), across, b * diagonal));
  }

  function view() {
    const { right, up, back } = axes();
    const apart = state.apart * diagonal * 0.3, cut = plane(back);
    return {
      right, up, back, target: state.target, half: state.half, width: canvas.width, height: canvas.height,
      reach: diagonal * 1.5 + apart * 2 + Math.hypot(...add(state.target, middle, -1)), apart, cut, plane: section(cut), isCut: Math.hypot(cut[0], cut[1], cut[2]) > 0.5, until: state.until, moving,
      field: state.field, show: state.show, fine: canvas.width / (canvas.clientWidth || 1),
    };
  }

  function draw() {
    if (waiting) return;
    waiting = true;
    requestAnimationFrame(() => {
      waiting = false;
      const fine = Math.min(devicePixelRatio || 1, 2);
      const wide = Math.max(1, Math.round(canvas.clientWidth * fine)), high = Math.max(1, Math.round(canvas.clientHeight * fine));
      if (canvas.width !== wide || canvas.height !== high) [canvas.width, canvas.height] = [wide, high];
      drawn.draw(view());
      if (pointerAt && !held) tell(...pointerAt);
      canvas.dataset.frames = ++frames;
      canvas.dataset.detail = moving && coarse ? "coarse" : "full";
      // The rest begins when the frame is there, however long that took.
      clearTimeout(rest);
      if (moving) rest = setTimeout(() => { moving = false; draw(); }, held ? 2 * REST : REST);
    });
  }

  // The hand moves the view: all of it is drawn again when it rests.
  function move() {
    clearTimeout(rest);
    moving = true;
    draw();
  }

  // Where all of the part is slow to draw, makes something quicker.
  let coarse = false;
  function quicken() {
    if (scene.facets < MANY || coarse) return;
    const takes = drawn.pace(view());
    canvas.dataset.pace = Math.round(takes);
    if (takes < SLOW) return;
    drawn.stand(coarsened(solid, scene.facets * WANTED / takes));
    coarse = true;
  }

  const number = (value, digits) => value.toFixed(digits).replace("-", "−");

  // Reads the surface under a place of the canvas, in page pixels from its left top.
  function tell(x, y) {
    const now = view();
    const found = drawn.read(now, Math.floor(x * now.fine), Math.floor(y * now.fine));
    const parts = [];
    if (found && found.front) {
      const face = scene.faces[found.face];
      parts.push(`face ${found.face + 1}` + (face ? ` (${face[0]}, ${face[1]} mm²)` : ""));
      scene.fields.forEach((field, i) => {
        if (!field.known) return;
        const value = found.values[i];
        parts.push(value === null ? `${field.name}: ${field.gap}`
          : `${field.name} ${number(value, field.digits)}${field.unit === "°" ? "°" : " " + field.unit}`);
      });
      if (found.kind < 4) parts.push(scene.kinds[found.kind][0]);
    } else if (found) parts.push(section(now.cut) ? "cut face" : "cut: inside of the part");
    readout.textContent = parts.join(" · ") || "nothing here";
    readout.dataset.values = found && found.front ? JSON.stringify(found) : "";
    const field = scene.fields[state.field];
    const value = field && found && found.front ? found.values[state.field] : null;
    for (const needle of root.querySelectorAll(".needle")) {
      const share = field && value !== null ? Math.min(1, Math.max(0, (value - field.low) / (field.high - field.low))) : -1;
      needle.setAttribute("visibility", share < 0 ? "hidden" : "visible");
      needle.setAttribute("transform", `translate(${20 + 356 * Math.max(share, 0)} 26)`);
    }
  }

  function color(key) {
    const index = scene.fields.findIndex((field) => field.key === key);
    state.field = index < 0 ? 4 : index;
    for (const legend of root.querySelectorAll("[data-legend]")) legend.hidden = legend.dataset.legend !== key;
    for (const radio of root.querySelectorAll('input[name="color"]')) radio.checked = radio.value === key;
    draw();
  }

  function fly(to) {
    cancelAnimationFrame(flight);
    const from = { turn: state.turn, lift: state.lift, target: state.target, half: state.half };
    let spin = (to.turn - from.turn) % (2 * Math.PI);
    if (spin > Math.PI) spin -= 2 * Math.PI;
    if (spin < -Math.PI) spin += 2 * Math.PI;
    const began = performance.now(), lasts = calm.matches ? 0 : 450;
    canvas.dataset.flying = "yes";
    const step = (now) => {
      const share = lasts ? Math.min(1, Math.max(0, (now - began) / lasts)) : 1;
      const s = share * share * (3 - 2 * share);
      state.turn = from.turn + spin * s;
      state.lift = from.lift + (to.lift - from.lift) * s;
      state.target = add(from.target, add(to.target, from.target, -1), s);
      state.half = from.half * (to.half / from.half) ** s;
      if (share < 1) move();
      else draw();
      if (share < 1) flight = requestAnimationFrame(step);
      else canvas.dataset.flying = "";
    };
    step(began);
  }

  const angles = (look) => ({
    lift: Math.asin(Math.max(-1, Math.min(1, dot(look, pull)))),
    turn: Math.hypot(dot(look, ahead), dot(look, aside)) < 1e-6 ? state.turn : Math.atan2(dot(look, aside), dot(look, ahead)),
  });

  function goTo(mark) {
    if (mark.field) color(mark.field);
    state.until = -1;
    state.apart = 0;
    state.cutAxis = "none";
    state.hidden = mark.hidden ? mark : null;
    settle();
    pointerAt = null;
    fly({ ...angles(mark.look), target: mark.at, half: diagonal * 0.2 });
    find("chosen").textContent = `${mark.text}: ${mark.what}` + (mark.hidden ? " (cut open, since something stands before it)" : "");
  }

  function reset() {
    state.hidden = null;
    pointerAt = null;
    fly(whole(home));
  }

  // Sets the controls as the state is.
  function settle() {
    find("apart").value = state.apart * 100;
    find("cut-axis").value = state.cutAxis;
    find("cut").value = state.cutShare * 100;
    find("cut").disabled = state.cutAxis === "none";
    const time = find("time");
    if (time) {
      time.value = state.until < 0 ? time.max : state.until;
      find("time-now").textContent = state.until < 0 ? "all" : number(state.until, 2) + " s";
    }
    draw();
  }

  function connect() {
    for (const radio of root.querySelectorAll('input[name="color"]'))
      radio.addEventListener("change", () => radio.checked && color(radio.value));
    for (const box of root.querySelectorAll("[data-show]"))
      box.addEventListener("change", () => { state.show[box.dataset.show] = box.checked; draw(); });
    find("apart").addEventListener("input", (event) => { state.apart = event.target.value / 100; state.hidden = null; draw(); });
    find("cut-axis").addEventListener("change", (event) => { state.cutAxis = event.target.value; state.hidden = null; settle(); });
    find("cut").addEventListener("input", (event) => { state.cutShare = event.target.value / 100; draw(); });
    const time = find("time");
    if (time) {
      time.max = scene.fields[3].base + scene.fields[3].step * 65534;
      time.step = (time.max - 0) / 200;
      time.addEventListener("input", () => {
        state.until = time.value >= time.max * 0.999 ? -1 : Number(time.value);
        state.hidden = null;
        settle();
        color("time");
      });
    }
    find("whole").addEventListener("click", reset);
    for (const button of root.querySelectorAll("[data-look]"))
      button.addEventListener("click", () => {
        const look = { plus: pull, minus: pull.map((x) => -x), side: ahead, other: aside }[button.dataset.look];
        state.hidden = null;
        fly(whole(angles(look)));
      });
    let from = null;
    for (const button of document.querySelectorAll("[data-finding]")) {
      const mark = scene.marks.find((each) => each.finding === Number(button.dataset.finding));
      if (!mark) continue;
      button.hidden = false;
      button.addEventListener("click", () => {
        goTo(mark);
        from = button;
        find("return").hidden = false;
        root.scrollIntoView({ block: "nearest", behavior: calm.matches ? "auto" : "smooth" });
      });
    }
    // On a narrow screen the list is far from the part.
    find("return").addEventListener("click", () => {
      from.scrollIntoView({ block: "center", behavior: calm.matches ? "auto" : "smooth" });
      from.focus({ preventScroll: true });
    });
    settle();
    hands();
  }

  const pan = (dx, dy) => {
    const { right, up } = axes(), scale = 2 * state.half / canvas.clientHeight;
    state.target = add(add(state.target, right, -dx * scale), up, dy * scale);
  };
  const zoom = (factor) => { state.half = Math.min(diagonal * 3, Math.max(diagonal * 0.005, state.half * factor)); };
  const spin = (dx, dy) => {
    state.turn -= dx * 0.008;
    state.lift = Math.max(-Math.PI / 2, Math.min(Math.PI / 2, state.lift + dy * 0.008));
  };

  function hands() {
    const fingers = new Map();
    let moved = 0;
    const at = (event) => { const box = canvas.getBoundingClientRect(); return [event.clientX - box.left, event.clientY - box.top]; };
    canvas.addEventListener("pointerdown", (event) => {
      canvas.setPointerCapture(event.pointerId);
      held = true;
      cancelAnimationFrame(flight);
      fingers.set(event.pointerId, at(event));
      moved = 0;
    });
    canvas.addEventListener("pointermove", (event) => {
      const now = at(event), before = fingers.get(event.pointerId);
      pointerAt = now;
      if (before) {
        const dx = now[0] - before[0], dy = now[1] - before[1];
        moved += Math.abs(dx) + Math.abs(dy);
        if (fingers.size > 1) {
          const other = [...fingers].find(([id]) => id !== event.pointerId)[1];
          const length = (a) => Math.hypot(a[0] - other[0], a[1] - other[1]) || 1;
          zoom(length(before) / length(now));
          pan(dx / 2, dy / 2);
        } else if (event.shiftKey || event.buttons & 6) pan(dx, dy);
        else spin(dx, dy);
        fingers.set(event.pointerId, now);
        move();
        return;
      }
      draw();
    });
    const up = (event) => {
      const was = fingers.delete(event.pointerId);
      held = fingers.size > 0;
      if (was && moved < 5 && event.type === "pointerup") choose(at(event));
      else draw();
    };
    canvas.addEventListener("pointerup", up);
    canvas.addEventListener("pointercancel", up);
    canvas.addEventListener("pointerleave", () => { pointerAt = null; });
    canvas.addEventListener("contextmenu", (event) => event.preventDefault());
    canvas.addEventListener("wheel", (event) => {
      event.preventDefault();
      zoom(Math.exp(Math.max(-60, Math.min(60, event.deltaY)) * 0.003));
      move();
    }, { passive: false });
    canvas.addEventListener("keydown", keys);
  }

  // A click on a mark goes there; anywhere else it reads.
  function choose([x, y]) {
    const now = view(), scale = canvas.clientHeight / 2 / state.half;
    let best = [17, null];
    for (const mark of scene.marks) {
      if (!state.show[mark.show]) continue;
      const from = add(add(mark.at, pull, mark.side * now.apart), now.target, -1);
      const px = canvas.clientWidth / 2 + dot(from, now.right) * scale, py = canvas.clientHeight / 2 - dot(from, now.up) * scale - 17;
      const away = Math.hypot(px - x, py - y);
      if (away < best[0]) best = [away, mark];
    }
    if (best[1]) goTo(best[1]);
    else { pointerAt = [x, y]; draw(); }
  }

  function keys(event) {
    const step = { ArrowLeft: [-1, 0], ArrowRight: [1, 0], ArrowUp: [0, -1], ArrowDown: [0, 1] }[event.key];
    if (event.ctrlKey || event.metaKey || event.altKey) return;
    if (step && event.shiftKey) pan(step[0] * -30, step[1] * -30);
    else if (step) spin(step[0] * -12, step[1] * -12);
    else if (event.key === "+" || event.key === "=") zoom(0.87);
    else if (event.key === "-" || event.key === "_") zoom(1.15);
    else if (event.key === "Home" || event.key === "0") reset();
    else if (event.key !== "Enter" && event.key !== " ") return;
    event.preventDefault();
    pointerAt = [canvas.clientWidth / 2, canvas.clientHeight / 2];
    move();
  }

  if (!begin()) return;
  canvas.addEventListener("webglcontextlost", (event) => { event.preventDefault(); waiting = true; });
  canvas.addEventListener("webglcontextrestored", () => { waiting = false; coarse = false; if (begin()) { draw(); quicken(); } });
  root.hidden = false;
  document.documentElement.classList.add("turns");
  Object.assign(state, whole(home));
  connect();
  color("ball");
  new ResizeObserver(draw).observe(canvas);
  canvas.dataset.state = "ready";
  setTimeout(quicken, 50);
}

{
  const root = document.getElementById("solid");
  const text = (id) => document.getElementById(id).textContent;
  if (root && "DecompressionStream" in window && document.createElement("canvas").getContext("webgl2")) {
    const scene = JSON.parse(text("scene"));
    unpack(text("surface"), scene).then((solid) => viewer(root, scene, solid)).catch((problem) => { root.hidden = true; console.error(problem); });
  }
}
