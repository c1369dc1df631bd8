// Around the terminal that the library draws: where it connects to, why it ended, and the
// tablet's own keyboard, which stays away until it is asked for.
"use strict";

const ENDS = {
  4000: "The walk was left. All of it is in the book.",
  4002: "This walk was opened again on another page, and goes on there. All that was marked ✓ is in the book.",
  4003: "All the walks that may be open at once are open. Close one of the other pages first.",
  4004: "The server did not understand this page. Load it again.",
  1001: "The server ended. All that was marked ✓ is in the book.",
};
const LOST = "The connection was lost. All that was marked ✓ is in the book; the walk goes on where it stood.";

const terminal = () => document.querySelector("#terminal");
const letters = () => document.querySelector(".xterm-helper-textarea");

// Text of the book is no link: nothing on this page opens another.
window.open = () => null;

class Connection extends WebSocket {
  constructor(...given) {
    super(...given);
    this.addEventListener("close", (event) => {
      const over = document.querySelector("#over");
      document.querySelector("#why").textContent = ENDS[event.code] || event.reason || LOST;
      over.dataset.code = event.code;
      over.hidden = false;
      document.querySelector("#again").focus();
    });
  }
}
window.WebSocket = Connection;

function size() {
  const kept = Number(localStorage.getItem("letters"));
  return kept >= 10 && kept <= 40 ? kept : 16;
}

function fill() {
  // What a keyboard leaves of the window, where the browser does not make the page smaller itself.
  const seen = window.visualViewport;
  if (seen) document.body.style.height = Math.round(seen.height) + "px";
}

function askKeyboard(wanted) {
  letters().setAttribute("inputmode", wanted ? "text" : "none");
  document.querySelector("#keyboard").setAttribute("aria-pressed", String(wanted));
  if (wanted) letters().blur();
  letters().focus();
}

const begin = window.onload; // the library's
window.onload = async (event) => {
  const box = terminal();
  const url = new URL(box.dataset.at + "ws", location.href);
  url.protocol = location.protocol === "https:" ? "wss:" : "ws:";
  url.search = url.hash = "";
  box.dataset.sessionWebsocketUrl = url.href;
  box.dataset.fontSize = size();
  fill();
  await document.fonts.load(size() + "px 'Roboto Mono'");
  await document.fonts.load("bold " + size() + "px 'Roboto Mono'");
  begin(event);
  askKeyboard(false);
  // The terminal takes composed text from the end of its text field: that is where it has to go.
  letters().addEventListener("input", (e) => {
    const field = letters();
    if (!e.isComposing) field.setSelectionRange(field.value.length, field.value.length);
  });
  const wanted = document.querySelector("#keyboard");
  wanted.addEventListener("click", () => askKeyboard(wanted.getAttribute("aria-pressed") !== "true"));
  for (const [name, step] of [["smaller", -2], ["larger", 2]]) {
    document.querySelector("#" + name).addEventListener("click", () => {
      localStorage.setItem("letters", Math.max(10, Math.min(40, size() + step)));
      location.reload();
    });
  }
  document.querySelector("#again").addEventListener("click", () => location.reload());
  document.querySelector("#side").addEventListener("mousedown", (e) => e.preventDefault());
  box.addEventListener("contextmenu", (e) => e.preventDefault());
  if (window.visualViewport) {
    window.visualViewport.addEventListener("resize", () => {
      fill();
      window.dispatchEvent(new Event("resize"));
    });
  }
};
