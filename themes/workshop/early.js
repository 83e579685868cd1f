"use strict";
// Runs before the page is drawn: says that scripts run, and sets the chosen light.
(function () {
  const root = document.documentElement;
  root.classList.add("js");
  try {
    const theme = localStorage.getItem("baybook.theme");
    if (theme === "light" || theme === "dark") root.setAttribute("data-theme", theme);
  } catch {
    // Storage may be refused; the page then follows the system's setting.
  }
})();
