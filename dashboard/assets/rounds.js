/* Dragging a stop of a round to another place or day. The buttons beside it do the same
   without a pointer. Nothing is moved on the page: the address says the new order, and
   the plan is made again from it. */

(function () {
  let held = null;

  function codesOf(list) {
    return Array.from(list.querySelectorAll("li.stop"), function (stop) {
      return stop.dataset.code;
    });
  }

  function clear() {
    document.querySelectorAll(".drop-before, .drop-after, .held").forEach(function (one) {
      one.classList.remove("drop-before", "drop-after", "held");
    });
  }

  /* Where the stop would go: a list, and the stop it would stand before or after. */
  function target(x, y) {
    const under = document.elementFromPoint(x, y);
    const stop = under && under.closest("li.stop");
    if (stop) {
      const box = stop.getBoundingClientRect();
      const after = y > box.top + box.height / 2;
      return { stop: stop, list: stop.closest("ol.stops"), after: after };
    }
    const day = under && under.closest(".round-day");
    const list = day && day.querySelector("ol.stops");
    const stops = list ? list.querySelectorAll("li.stop") : [];
    return stops.length
      ? { stop: stops[stops.length - 1], list: list, after: true }
      : null;
  }

  function parts(text) {
    return (text || "").split(";").filter(Boolean);
  }

  /* "S-06,T-16@Edda@2026-11-26" without one code. */
  function without(part, code) {
    const cut = part.indexOf("@");
    const kept = part.slice(0, cut).split(",").filter(function (each) {
      return each !== code;
    });
    return kept.join(",") + part.slice(cut);
  }

  function put(address, name, values) {
    if (values.length) {
      address.searchParams.set(name, values.join(";"));
    } else {
      address.searchParams.delete(name);
    }
  }

  /* The address with the held stop in its new place. */
  function addressOf(place) {
    const code = held.dataset.code;
    const address = new URL(window.location.href);
    const day = place.list.dataset.person + "@" + place.list.dataset.on;
    const codes = codesOf(place.list).filter(function (each) {
      return each !== code;
    });
    const at = codes.indexOf(place.stop.dataset.code) + (place.after ? 1 : 0);
    codes.splice(at, 0, code);
    const others = parts(address.searchParams.get("order"))
      .filter(function (part) {
        return part.slice(part.indexOf("@") + 1) !== day;
      })
      .map(function (part) {
        return without(part, code);
      });
    const pins = parts(address.searchParams.get("pins")).filter(function (part) {
      return part.slice(0, part.indexOf("@")) !== code;
    });
    put(address, "order", others.concat(codes.join(",") + "@" + day));
    put(address, "pins", pins);
    return address;
  }

  function letGo() {
    clear();
    held = null;
  }

  document.addEventListener("pointerdown", function (event) {
    const grip = event.target.closest && event.target.closest(".grip");
    if (grip && event.button === 0) {
      held = grip.closest("li.stop");
      held.classList.add("held");
      event.preventDefault();
    }
  });

  document.addEventListener("pointermove", function (event) {
    if (!held) {
      return;
    }
    clear();
    held.classList.add("held");
    const place = target(event.clientX, event.clientY);
    if (place && place.stop !== held) {
      place.stop.classList.add(place.after ? "drop-after" : "drop-before");
    }
    if (event.clientY < 60) {
      window.scrollBy(0, -12);
    } else if (event.clientY > window.innerHeight - 60) {
      window.scrollBy(0, 12);
    }
  });

  document.addEventListener("pointerup", function (event) {
    const place = held && target(event.clientX, event.clientY);
    if (place && place.stop !== held) {
      window.location.assign(addressOf(place));
    }
    letGo();
  });

  document.addEventListener("pointercancel", letGo);
  document.addEventListener("keydown", function (event) {
    if (event.key === "Escape") {
      letGo();
    }
  });
})();
