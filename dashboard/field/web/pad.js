/* A photograph to draw on: strokes of a sketch, or the outline of an opening.
   Points are shares of the photograph's sides, so that any size of it will do. */

import { button, el } from "./words.js";

const NEAR_PX = 4;
const NEAREST = 4;
const SVG = "http://www.w3.org/2000/svg";
/* Of a finger or a pen on a screen, one standard deviation (common practice, no source). */
const HAND_PX = { touch: 2.5, pen: 1, mouse: 1 };

/* Resolves with {lines, hand}, or null if the person thought better of it. */
export function drawOn({ src, alt, isOutline, lines }) {
  return new Promise((resolve) => {
    const pad = {
      isOutline,
      lines: lines.map((line) => line.map((point) => [...point])),
      isDrawing: true,
      zoom: 1,
      pointer: "touch",
    };
    const image = el("img", { src, alt, draggable: "false" });
    const drawing = svg("svg", { viewBox: "0 0 1 1", preserveAspectRatio: "none" });
    pad.canvas = el("div", { class: "canvas" }, image);
    pad.canvas.append(drawing);
    pad.drawing = drawing;
    const words = el("p", { role: "status" }, isOutline ? OUTLINE : SKETCH);
    const dialog = el("dialog", { class: "pad", "aria-label": isOutline ? "Trace the opening" : "Sketch on the photograph" });
    const end = (answer) => {
      dialog.close();
      dialog.remove();
      resolve(answer);
    };
    const done = () => {
      const trouble = isOutline ? troubleWith(pad.lines[0] ?? []) : "";
      if (trouble) {
        words.textContent = trouble;
        return;
      }
      const width = pad.canvas.getBoundingClientRect();
      const longest = Math.max(width.width, width.height);
      end({ lines: pad.lines.filter((line) => line.length), hand: HAND_PX[pad.pointer] / longest });
    };
    const move = button("Move", () => {
      pad.isDrawing = !pad.isDrawing;
      pad.canvas.classList.toggle("moving", !pad.isDrawing);
      move.setAttribute("aria-pressed", String(!pad.isDrawing));
    }, { class: "plain", "aria-pressed": "false" });
    dialog.append(
      words,
      el("div", { class: "frame" }, pad.canvas),
      el(
        "div",
        { class: "row" },
        button("Nearer", () => zoom(pad, 1.5), { class: "plain" }),
        button("Farther", () => zoom(pad, 1 / 1.5), { class: "plain" }),
        move,
        button("Undo", () => undo(pad), { class: "plain" })
      ),
      el("div", { class: "row" }, button("Keep it", done, { class: "keep" }), button("Not now", () => end(null), { class: "plain" }))
    );
    dialog.addEventListener("cancel", (event) => {
      event.preventDefault();
      end(null);
    });
    listen(pad);
    redraw(pad);
    document.body.append(dialog);
    dialog.showModal();
  });
}

const OUTLINE =
  "Go around the opening once, along the edge of the bark: draw with the finger, or tap from point to point.";
const SKETCH = "Draw on the photograph with a finger.";

/* Words if the points are no outline; the server looks at them again. */
export function troubleWith(points) {
  if (points.length < 3) {
    return "An outline needs at least three points; go around the opening once.";
  }
  return crosses(points)
    ? "The outline crosses itself. Take back the last points with Undo, and go around once."
    : "";
}

function crosses(points) {
  const side = (p, q, r) => (q[0] - p[0]) * (r[1] - p[1]) - (q[1] - p[1]) * (r[0] - p[0]);
  const meet = (a, b, c, d) =>
    side(a, b, c) * side(a, b, d) < 0 && side(c, d, a) * side(c, d, b) < 0;
  const count = points.length;
  for (let one = 0; one < count; one += 1) {
    for (let other = one + 2; other < count; other += 1) {
      const isNeighbour = one === 0 && other === count - 1;
      if (!isNeighbour && meet(points[one], points[one + 1], points[other], points[(other + 1) % count])) {
        return true;
      }
    }
  }
  return false;
}

function listen(pad) {
  const { canvas } = pad;
  let stroke = null;
  canvas.addEventListener("pointerdown", (event) => {
    if (!pad.isDrawing || (event.pointerType === "mouse" && event.button !== 0)) {
      return;
    }
    event.preventDefault();
    canvas.setPointerCapture(event.pointerId);
    pad.pointer = event.pointerType in HAND_PX ? event.pointerType : "touch";
    stroke = pad.isOutline ? (pad.lines[0] ??= []) : [];
    pad.marks = [...(pad.marks ?? []), stroke.length];
    if (!pad.isOutline) {
      pad.lines.push(stroke);
    }
    add(pad, stroke, event);
  });
  canvas.addEventListener("pointermove", (event) => stroke && add(pad, stroke, event));
  for (const over of ["pointerup", "pointercancel"]) {
    canvas.addEventListener(over, () => {
      stroke = null;
    });
  }
}

function add(pad, stroke, event) {
  const box = pad.canvas.getBoundingClientRect();
  const share = (value) => Math.round(Math.min(1, Math.max(0, value)) * 1e5) / 1e5;
  const point = [share((event.clientX - box.left) / box.width), share((event.clientY - box.top) / box.height)];
  const last = stroke.at(-1);
  const apart = last ? Math.hypot((point[0] - last[0]) * box.width, (point[1] - last[1]) * box.height) : Infinity;
  if (apart >= NEAR_PX) {
    stroke.push(point);
    redraw(pad);
  }
}

function undo(pad) {
  const start = pad.marks?.pop() ?? 0;
  if (pad.isOutline && pad.lines[0]) {
    pad.lines[0].length = Math.min(start, pad.lines[0].length);
  } else {
    pad.lines.pop();
  }
  redraw(pad);
}

function zoom(pad, by) {
  pad.zoom = Math.min(NEAREST, Math.max(1, pad.zoom * by));
  pad.canvas.style.width = `${Math.round(100 * pad.zoom)}%`;
}

function redraw(pad) {
  pad.drawing.replaceChildren(...linesOf(pad.lines, pad.isOutline));
}

/* Strokes as drawn lines, dark on light so that they show on bark and on sky. */
export function linesOf(lines, isClosed) {
  return lines.filter((line) => line.length).flatMap((line) => {
    const points = (line.length > 1 ? line : [line[0], line[0]]).map((p) => p.join(",")).join(" ");
    const name = isClosed && line.length > 2 ? "polygon" : "polyline";
    return ["under", "over"].map((style) => svg(name, { points, class: style }));
  });
}

export function svg(name, attributes) {
  const made = document.createElementNS(SVG, name);
  for (const [key, value] of Object.entries(attributes)) {
    made.setAttribute(key, value);
  }
  return made;
}

/* An image with what was drawn on it. */
export function drawnOver(src, alt, { sketch = [], outline = [] }) {
  const drawing = svg("svg", { viewBox: "0 0 1 1", preserveAspectRatio: "none", "aria-hidden": "true" });
  drawing.append(...linesOf(sketch, false), ...linesOf(outline.length ? [outline] : [], true));
  const shown = el("div", { class: "canvas" }, el("img", { src, alt }));
  shown.append(drawing);
  return shown;
}
