// Dropping files, and a word while they are checked. Without this script files
// are chosen and everything else works the same.
"use strict";

const known = /\.(dxf|csv|tsv|txt|xlsx|ods)$/i;

function isOfJob(name) {
  return known.test(name) || name === "dryfit.toml";
}

// Files of a drop; of a dropped folder those that lie in it directly.
async function dropped(items) {
  const entries = [...items].filter((item) => item.kind === "file").map((item) => ({
    entry: item.webkitGetAsEntry ? item.webkitGetAsEntry() : null,
    file: item.getAsFile(),
  }));
  const files = [];
  for (const { entry, file } of entries) {
    if (entry && entry.isDirectory) {
      const reader = entry.createReader();
      for (;;) {
        const some = await new Promise((done, failed) => reader.readEntries(done, failed));
        if (some.length === 0) break;
        for (const inner of some) {
          if (inner.isFile && isOfJob(inner.name)) {
            files.push(await new Promise((done, failed) => inner.file(done, failed)));
          }
        }
      }
    } else if (file) {
      files.push(file);
    }
  }
  return files;
}

const drop = document.getElementById("drop");
if (drop) {
  const said = document.getElementById("drop-said");
  const button = drop.querySelector("button");
  const say = (text) => { said.textContent = text; };

  const send = async (files) => {
    const total = files.reduce((sum, file) => sum + file.size, 0);
    if (files.length === 0) {
      say("There is no drawing and no list in that.");
      return;
    }
    if (total > Number(drop.dataset.most) || files.length > Number(drop.dataset.files)) {
      say("That is more than is taken at once.");
      return;
    }
    const form = new FormData();
    for (const file of files) form.append("files", file, file.name);
    say("Reading and checking " + files.map((file) => file.name).join(", ") + " …");
    button.disabled = true;
    try {
      const answer = await fetch(drop.action, {
        method: "POST", body: form, headers: { Accept: "text/plain" },
      });
      if (answer.redirected) {
        window.location.assign(answer.url);
        return;
      }
      say(await answer.text());
    } catch {
      say("dryfit does not answer any more. Was it ended?");
    }
    button.disabled = false;
  };

  for (const kind of ["dragenter", "dragover"]) {
    window.addEventListener(kind, (event) => {
      event.preventDefault();
      drop.classList.add("over");
    });
  }
  window.addEventListener("dragleave", (event) => {
    if (!event.relatedTarget) drop.classList.remove("over");
  });
  window.addEventListener("drop", (event) => {
    event.preventDefault();
    drop.classList.remove("over");
    dropped(event.dataTransfer.items).then(send);
  });
  drop.addEventListener("submit", (event) => {
    event.preventDefault();
    send([...drop.querySelector("input[type=file]").files]);
  });
}

// A second press while the first is still at work would only wait for it.
for (const form of document.querySelectorAll("form[action]:not(#drop)")) {
  form.addEventListener("submit", () => {
    for (const button of form.querySelectorAll("button")) {
      button.disabled = true;
      button.dataset.word = button.textContent;
      button.textContent = "Working …";
    }
  });
}
// Coming back by the browser's own way shows the page as it was left.
window.addEventListener("pageshow", (event) => {
  if (!event.persisted) return;
  for (const button of document.querySelectorAll("button[data-word]")) {
    button.disabled = false;
    button.textContent = button.dataset.word;
  }
});
