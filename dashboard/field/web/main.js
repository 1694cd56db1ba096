/* Which page is shown, and what the top of every page says. */

import * as keep from "./keep.js";
import { showForm } from "./form.js";
import { showOutbox } from "./outbox.js";
import { forgetOldRound, showRound } from "./round.js";
import { onOutboxChange, sendAll } from "./send.js";
import { el, say } from "./words.js";

const page = document.getElementById("page");
let leave = null;
let turn = 0;

async function show() {
  const mine = (turn += 1);
  const [place, ...rest] = decodeURIComponent(location.hash.slice(2)).split("/");
  const inside = el("div");
  if (leave) {
    leave();
    leave = null;
  }
  say("");
  try {
    const left = await pageFor(place, rest.join("/"), inside);
    if (mine !== turn) {
      return;
    }
    leave = left ?? null;
  } catch (error) {
    inside.replaceChildren(el("p", { class: "refusal", role: "alert" }, error.message));
  }
  page.replaceChildren(inside);
  window.scrollTo(0, 0);
  mark(place);
}

function pageFor(place, rest, inside) {
  if (place === "") {
    return showRound(inside);
  }
  if (place === "out") {
    return showOutbox(inside);
  }
  return showForm(inside, rest ? place + "/" + rest : place);
}

function mark(place) {
  const here = { "": "to-round", out: "to-outbox" }[place];
  for (const id of ["to-round", "to-outbox"]) {
    const link = document.getElementById(id);
    if (id === here) {
      link.setAttribute("aria-current", "page");
    } else {
      link.removeAttribute("aria-current");
    }
  }
}

async function count() {
  const waiting = (await keep.keys("outbox")).length;
  document.getElementById("outbox-count").textContent = waiting ? String(waiting) : "";
}

function tellNetwork() {
  document.getElementById("network").textContent = navigator.onLine
    ? ""
    : "No network. Everything is kept on this phone and sent later.";
}

async function keepTheForm() {
  if (!("serviceWorker" in navigator)) {
    const words = document.getElementById("network");
    words.textContent = "This page is not on HTTPS, so it does not open without a network. What is typed is kept all the same.";
    return;
  }
  const hadOne = Boolean(navigator.serviceWorker.controller);
  navigator.serviceWorker.addEventListener("controllerchange", () => {
    if (hadOne) {
      say("A newer form is on the phone. It is used the next time the page is opened.");
    }
  });
  try {
    await navigator.serviceWorker.register("/field/service-worker.js", {
      scope: "/field/",
      updateViaCache: "none",
    });
  } catch {
    /* No network, or signed out: the form that is kept goes on working. */
  }
}

window.addEventListener("hashchange", show);
window.addEventListener("online", () => {
  tellNetwork();
  sendAll();
});
window.addEventListener("offline", tellNetwork);
document.addEventListener("visibilitychange", () => {
  if (document.visibilityState === "visible") {
    sendAll();
  }
});
onOutboxChange(count);

const gone = await forgetOldRound();
await show();
if (gone) {
  say(gone);
}
tellNetwork();
await count();
keepTheForm();
sendAll();
