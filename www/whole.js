// Ahead of everything in a saved page: says so where the file is cut short, and with it boot.js,
// which comes last.
document.addEventListener("DOMContentLoaded", () => {
  if (typeof window.evenstroke?.template === "function") return;
  const message = document.getElementById("start-message");
  const note = document.getElementById("read-only-note");
  if (note) note.hidden = true;
  if (!message) return;
  document.documentElement.dataset.evenstroke = "failed";
  message.textContent =
    "Evenstroke cannot start here: this file is cut short. Copy it again from where it came from. What follows may not be the whole set-up sheet.";
  message.hidden = false;
});
