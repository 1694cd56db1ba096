/* Moving about on the map, drawing on it, and files that a form takes. */

window.dash_clientside = window.dash_clientside || {};

(function () {
  const NIGHT = window.matchMedia("(prefers-color-scheme: dark)");
  let playing = null;

  const plot = function () {
    return document.querySelector("#map-graph .js-plotly-plot");
  };

  const screenNow = function () {
    const box = document.getElementById("map-graph");
    return {
      night: NIGHT.matches,
      width: box ? box.clientWidth : 700,
      origin: window.location.origin,
    };
  };

  NIGHT.addEventListener("change", function () {
    if (document.getElementById("map-screen") || plot()) {
      window.dash_clientside.set_props("map-screen", { data: screenNow() });
    }
  });

  const stop = function () {
    window.clearInterval(playing);
    playing = null;
    return "Play";
  };

  const move = function (change) {
    const drawing = plot();
    const map = drawing && drawing._fullLayout && drawing._fullLayout.map;
    if (map) {
      window.Plotly.relayout(drawing, change(map));
    }
  };

  window.dash_clientside.underprop_map = {
    screen: screenNow,

    /* The server joins supports anew only after a real step of zoom. */
    zoom: function (moved, last) {
      const zoom = moved && moved["map.zoom"];
      if (typeof zoom !== "number") {
        return window.dash_clientside.no_update;
      }
      const step = Math.round(zoom * 2) / 2;
      return step === last ? window.dash_clientside.no_update : step;
    },

    /* What was drawn, as GeoJSON. */
    area: function (picked, _clear, last) {
      const cause = window.dash_clientside.callback_context.triggered[0];
      if (cause && cause.prop_id.indexOf("map-clear") === 0) {
        return "";
      }
      let ring = null;
      if (picked && picked.lassoPoints && picked.lassoPoints.map) {
        ring = picked.lassoPoints.map;
      } else if (picked && picked.range && picked.range.map) {
        const a = picked.range.map[0];
        const b = picked.range.map[1];
        ring = [a, [b[0], a[1]], b, [a[0], b[1]]];
      }
      if (!ring || ring.length < 3) {
        return window.dash_clientside.no_update;
      }
      const every = Math.max(1, Math.ceil(ring.length / 60));
      const corners = ring
        .filter(function (_corner, n) { return n % every === 0; })
        .map(function (corner) { return [+corner[0].toFixed(6), +corner[1].toFixed(6)]; });
      corners.push(corners[0]);
      const text = JSON.stringify({ type: "Polygon", coordinates: [corners] });
      move(function () { return { dragmode: "pan" }; });
      return text === last ? window.dash_clientside.no_update : text;
    },

    /* A single support opens; a ring opens up. */
    open: function (clicked) {
      const point = clicked && clicked.points && clicked.points[0];
      const codes = point && point.customdata;
      if (codes && codes.length === 1) {
        window.dash_clientside.set_props("shell-address", {
          pathname: "/supports/" + encodeURIComponent(codes[0]),
          search: "",
        });
      } else if (codes) {
        move(function (map) {
          if (map.zoom >= 17.5) {
            window.dash_clientside.set_props("map-words", { value: "" });
          }
          return {
            "map.center": { lon: point.lon, lat: point.lat },
            "map.zoom": Math.min(19, map.zoom + 1.5),
          };
        });
      }
      return window.dash_clientside.no_update;
    },

    move: function (_nearer, _farther, _whole, figure) {
      const cause = window.dash_clientside.callback_context.triggered[0];
      const which = cause ? cause.prop_id.split(".")[0] : "";
      const first = figure && figure.layout && figure.layout.map;
      move(function (map) {
        if (which === "map-whole" && first) {
          return { "map.center": first.center, "map.zoom": first.zoom };
        }
        return { "map.zoom": map.zoom + (which === "map-nearer" ? 1 : -1) };
      });
      return window.dash_clientside.no_update;
    },

    drawing: function (pressed) {
      if (pressed) {
        move(function () { return { dragmode: "lasso" }; });
      }
      return window.dash_clientside.no_update;
    },

    play: function (pressed, day, last) {
      if (!pressed) {
        return window.dash_clientside.no_update;
      }
      if (playing) {
        return stop();
      }
      let now = day >= last ? 0 : day;
      playing = window.setInterval(function () {
        if (!document.getElementById("map-day") || now >= last) {
          window.dash_clientside.set_props("map-play", { children: stop() });
          return;
        }
        now += 1;
        window.dash_clientside.set_props("map-day", { value: now });
      }, 900);
      return "Stop";
    },

    /* What is chosen stands in the address, so it can be sent to a colleague. */
    address: function (standing, kind, words, event) {
      const address = new URL(window.location.href);
      const given = {
        standing: (standing || []).join(","),
        kind: (kind || []).join(","),
        q: words || "",
        event: event || "",
      };
      Object.keys(given).forEach(function (name) {
        if (given[name]) {
          address.searchParams.set(name, given[name]);
        } else {
          address.searchParams.delete(name);
        }
      });
      window.history.replaceState(window.history.state, "", address);
      return window.dash_clientside.no_update;
    },
  };

  /* A field for a file where a form has a place for one. */
  new MutationObserver(function () {
    document.querySelectorAll("[data-accept]:empty").forEach(function (place) {
      const field = document.createElement("input");
      field.type = "file";
      field.name = place.dataset.name;
      field.accept = place.dataset.accept;
      field.setAttribute("aria-label", "A file");
      place.appendChild(field);
    });
  }).observe(document.documentElement, { childList: true, subtree: true });
})();
