/* What the pages do in the browser without asking the server. */

window.dash_clientside = window.dash_clientside || {};

(function () {
  window.dash_clientside.underprop = {
    /* The title of the window, and the page's name for screen readers. */
    title: function (title) {
      document.title = title ? title + " · Underprop" : "Underprop";
      return title || "";
    },

    /* Keep the words of the register's search in its address. */
    search: function (text) {
      const address = new URL(window.location.href);
      if ((address.searchParams.get("q") || "") !== (text || "")) {
        address.searchParams.delete("page");
      }
      if (text) {
        address.searchParams.set("q", text);
      } else {
        address.searchParams.delete("q");
      }
      window.history.replaceState(window.history.state, "", address);
      return "";
    },
  };
})();
