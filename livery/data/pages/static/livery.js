"use strict";
/* Pages work without this; it adds pointing at the photograph, dropping files, and local time. */

/* Pages tell times in UTC; here in those of the one who looks. */
for (const time of document.querySelectorAll("time[datetime]")) {
  const moment = new Date(time.dateTime);
  if (Number.isNaN(moment.getTime())) continue;
  time.title = time.textContent;
  time.textContent = moment.toLocaleString([], { dateStyle: "medium", timeStyle: "short" });
}

for (const field of document.querySelectorAll("[data-select-all]")) {
  field.addEventListener("focus", () => field.select());
}

/* What stays the same from bat to bat on one device is typed once. */
for (const field of document.querySelectorAll("[data-remember]")) {
  const name = `livery-${field.name}`;
  try {
    if (!field.value) field.value = localStorage.getItem(name) || "";
    field.form.addEventListener("submit", () => localStorage.setItem(name, field.value));
  } catch { /* the browser keeps nothing: it is typed again */ }
}

for (const zone of document.querySelectorAll("[data-drop]")) {
  const input = zone.querySelector("input[type=file]");
  zone.addEventListener("dragover", (event) => { event.preventDefault(); zone.classList.add("over"); });
  zone.addEventListener("dragleave", () => zone.classList.remove("over"));
  zone.addEventListener("drop", (event) => {
    event.preventDefault();
    zone.classList.remove("over");
    if (event.dataTransfer.files.length) input.files = event.dataTransfer.files;
  });
}

const photo = document.querySelector("[data-photo]");
const overlay = photo && photo.querySelector("[data-overlay]");
const SVG = "http://www.w3.org/2000/svg";

function place(event) {
  const box = overlay.getBoundingClientRect();
  const wide = Number(photo.dataset.width), high = Number(photo.dataset.height);
  const clamp = (value, most) => Math.round(Math.min(Math.max(value, 0), most));
  return {
    x: clamp((event.clientX - box.left) / box.width * wide, wide),
    y: clamp((event.clientY - box.top) / box.height * high, high),
  };
}

function draw(name, values) {
  const shape = document.createElementNS(SVG, name);
  for (const [key, value] of Object.entries(values)) shape.setAttribute(key, value);
  return shape;
}

/* So many pixels of the screen, as pixels of the photograph. */
function span(pixels) {
  return pixels * Number(photo.dataset.width) / (overlay.getBoundingClientRect().width || 1);
}

function pointAtRegions(form) {
  const list = form.querySelector("[data-list]");
  const group = overlay.appendChild(draw("g", {}));
  let chosen = list.querySelector("[data-region]");
  const field = (region, name) => region.querySelector(`[name=${name}]`);
  const regions = () => [...list.querySelectorAll("[data-region]")];

  function show() {
    group.replaceChildren();
    regions().forEach((region, index) => {
      region.querySelector("[data-number]").textContent = index + 1;
      region.classList.toggle("chosen", region === chosen);
      region.querySelector("[data-remove]").hidden = regions().length < 2;
      const [x, y, w, h] = ["x", "y", "w", "h"].map((name) => Number(field(region, name).value));
      if (!w || !h) return;
      const box = draw("rect", { x, y, width: w, height: h, class: region === chosen ? "chosen" : "" });
      box.addEventListener("pointerdown", (event) => move(event, region));
      const label = draw("text", { x: x + w / 2, y: y + h / 2, "text-anchor": "middle",
        "dominant-baseline": "central", "font-size": span(20) });
      label.textContent = index + 1;
      group.append(box, label);
    });
  }

  function set(region, x, y, w, h) {
    for (const [name, value] of Object.entries({ x, y, w, h })) field(region, name).value = value;
    show();
  }

  function follow(event, moved) {
    event.preventDefault();
    const stop = () => {
      window.removeEventListener("pointermove", moved);
      window.removeEventListener("pointerup", stop);
      window.removeEventListener("pointercancel", stop);
    };
    window.addEventListener("pointermove", moved);
    window.addEventListener("pointerup", stop);
    window.addEventListener("pointercancel", stop);
  }

  function move(event, region) {
    event.stopPropagation();
    chosen = region;
    const start = place(event);
    const [x, y, w, h] = ["x", "y", "w", "h"].map((name) => Number(field(region, name).value));
    follow(event, (next) => {
      const at = place(next);
      set(region, Math.max(0, x + at.x - start.x), Math.max(0, y + at.y - start.y), w, h);
    });
    show();
  }

  function add() {
    const copy = chosen.cloneNode(true);
    for (const name of ["x", "y", "w", "h"]) field(copy, name).value = "";
    for (const name of ["item", "ink"]) field(copy, name).value = field(chosen, name).value;
    list.append(copy);
    chosen = copy;
    show();
    return copy;
  }

  overlay.addEventListener("pointerdown", (event) => {
    const start = place(event);
    if (Number(field(chosen, "w").value)) add();
    const region = chosen;
    follow(event, (next) => {
      const at = place(next);
      set(region, Math.min(start.x, at.x), Math.min(start.y, at.y),
        Math.abs(at.x - start.x), Math.abs(at.y - start.y));
    });
  });

  const more = form.querySelector("[data-add]");
  more.hidden = false;
  more.addEventListener("click", () => field(add(), "item").focus());
  list.addEventListener("click", (event) => {
    if (!event.target.closest("[data-remove]")) return;
    event.target.closest("[data-region]").remove();
    chosen = regions()[0];
    field(chosen, "item").focus();
    show();
  });
  list.addEventListener("focusin", (event) => { chosen = event.target.closest("[data-region]") || chosen; show(); });
  list.addEventListener("input", show);
  show();
}

function pointAtCorners(form) {
  const input = form.querySelector("[data-corners]");
  const wide = Number(photo.dataset.width), high = Number(photo.dataset.height);
  const shares = [[0.3, 0.3], [0.7, 0.3], [0.7, 0.7], [0.3, 0.7]];
  const typed = () => input.value.trim().split(/\s+/).map((pair) => pair.split(",").map(Number));
  const sound = (points) => points.length === 4 && points.every((p) => p.length === 2 && p.every(Number.isFinite));
  let points = sound(typed()) ? typed() : shares.map(([x, y]) => [Math.round(x * wide), Math.round(y * high)]);
  const outline = overlay.appendChild(draw("polygon", { class: "target" }));
  const handles = points.map((_, index) => {
    const handle = overlay.appendChild(draw("circle", { r: span(24) }));
    handle.addEventListener("pointerdown", (event) => {
      event.preventDefault();
      event.stopPropagation();
      const moved = (next) => {
        const at = place(next);
        points[index] = [at.x, at.y];
        input.value = points.map((p) => p.join(",")).join(" ");
        show();
      };
      const stop = () => {
        window.removeEventListener("pointermove", moved);
        window.removeEventListener("pointerup", stop);
      };
      window.addEventListener("pointermove", moved);
      window.addEventListener("pointerup", stop);
    });
    return handle;
  });

  function show() {
    outline.setAttribute("points", points.map((p) => p.join(",")).join(" "));
    handles.forEach((handle, index) => {
      handle.setAttribute("cx", points[index][0]);
      handle.setAttribute("cy", points[index][1]);
    });
  }

  input.addEventListener("input", () => { if (sound(typed())) { points = typed(); show(); } });
  window.addEventListener("resize", () => handles.forEach((handle) => handle.setAttribute("r", span(24))));
  show();
}

if (photo) {
  const corners = document.querySelector("[data-corners-form]");
  const regions = document.querySelector("form[data-regions]");
  if (regions) pointAtRegions(regions);
  else if (corners) pointAtCorners(corners);
}
