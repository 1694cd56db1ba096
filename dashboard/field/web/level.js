/* The phone as inclinometer: gravity averaged, two axes, reversed and averaged. */

export const SECONDS = 4;
export const STILL_MM_M = 6;

/* Tilt towards the phone's top edge and to its right. [mm/m]

   Up, seen from the device, is the third row of the rotation in the W3C Device
   Orientation specification (Z-X'-Y''): (-cos b sin g, sin b, cos b cos g).
   "flat": the phone lies on the plate, screen up, top edge away from the stem; what
   leans is the axis out of the screen. "upright": its back is on the face of the post
   that looks away from the stem, top edge up; what leans is the axis to its top edge,
   and the screen looks away from the stem. */
export function tilts(beta, gamma, placement) {
  const b = (beta * Math.PI) / 180;
  const g = (gamma * Math.PI) / 180;
  const x = -Math.cos(b) * Math.sin(g);
  const y = Math.sin(b);
  const z = Math.cos(b) * Math.cos(g);
  if (placement === "flat") {
    return [(-1000 * y) / z, (-1000 * x) / z];
  }
  return [(-1000 * z) / y, (1000 * x) / y];
}

/* Mean and spread (one standard deviation) of each axis. */
export function averaged(samples) {
  const mean = [0, 1].map((axis) => sum(samples, axis) / samples.length);
  const spread = [0, 1].map((axis) => {
    const squares = samples.reduce((all, s) => all + (s[axis] - mean[axis]) ** 2, 0);
    return Math.sqrt(squares / Math.max(1, samples.length - 1));
  });
  return { mean, spread, count: samples.length };
}

/* Turned by 180°, the tilt changes sign and the phone's own error does not. */
export function reversed(first, second) {
  const half = (a, b) => (a - b) / 2;
  return {
    tilt: first.mean.map((value, axis) => half(value, second.mean[axis])),
    error: first.mean.map((value, axis) => (value + second.mean[axis]) / 2),
    spread: first.spread.map(
      (value, axis) => Math.hypot(value, second.spread[axis]) / 2
    ),
  };
}

/* Ask where browsers want it asked from a tap; words if it is refused, else "". */
export async function permission() {
  if (typeof DeviceOrientationEvent === "undefined" || !window.isSecureContext) {
    return "This browser keeps its tilt sensor from this page; it needs HTTPS. Type the reading of a level instead.";
  }
  if (typeof DeviceOrientationEvent.requestPermission !== "function") {
    return "";
  }
  try {
    const answer = await DeviceOrientationEvent.requestPermission();
    return answer === "granted" ? "" : DENIED;
  } catch {
    return DENIED;
  }
}

const DENIED =
  "The tilt sensor was refused. Allow motion for this site in the browser's settings, or type the reading of a level instead.";

/* Samples for some seconds, as pairs of tilts; empty if the sensor says nothing. */
export function listen(placement, seconds, onSample) {
  return new Promise((resolve) => {
    const samples = [];
    const hear = (event) => {
      if (event.beta !== null && event.gamma !== null) {
        samples.push(tilts(event.beta, event.gamma, placement));
        onSample(samples);
      }
    };
    window.addEventListener("deviceorientation", hear);
    setTimeout(() => {
      window.removeEventListener("deviceorientation", hear);
      resolve(samples);
    }, seconds * 1000);
  });
}

function sum(samples, axis) {
  return samples.reduce((all, sample) => all + sample[axis], 0);
}
