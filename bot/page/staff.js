// What a script adds to the staff's pages, which work without: times of this place, a copy button, going on in the chat.

const spoken = document.documentElement.lang;

for (const time of document.querySelectorAll("time[datetime]")) {
  const at = new Date(time.dateTime);
  if (!Number.isNaN(at.valueOf())) time.textContent = at.toLocaleString(spoken, { dateStyle: "medium", timeStyle: "short" });
}

for (const button of document.querySelectorAll("button[data-copy]")) {
  const field = document.getElementById(button.dataset.copy);
  field.addEventListener("focus", () => field.select());
  if (!navigator.clipboard) continue;
  button.hidden = false;
  button.addEventListener("click", async () => {
    await navigator.clipboard.writeText(field.value);
    button.textContent = button.dataset.done;
  });
}

// The chat page takes up the conversation that this browser was in last.
for (const button of document.querySelectorAll("button[data-continue]")) {
  button.hidden = false;
  button.addEventListener("click", () => {
    localStorage.setItem("wattclerk.conversation", JSON.stringify(button.dataset.continue));
    location.assign("/");
  });
}
