// Keeps the page up to date without losing the place where one is looking.
"use strict";

const frame = document.getElementById("frame");
const line = document.getElementById("line");
const label = document.querySelector(".zoom");
const slider = label.querySelector("input");
const farewell = "The watch has ended, or cannot be reached: what stands here may be old.";
const greeting = line.textContent;

// The picture is fitted into its frame, then enlarged; what was in the middle stays there.
function fit() {
  const image = document.getElementById("chart");
  label.hidden = !image;
  if (!image || !image.naturalWidth) return;
  const x = (frame.scrollLeft + frame.clientWidth / 2) / frame.scrollWidth;
  const y = (frame.scrollTop + frame.clientHeight / 2) / frame.scrollHeight;
  const zoom = Number(slider.value);
  frame.classList.toggle("large", zoom > 1);
  image.style.width = "1px"; // so that no scroll bar takes room while the frame is measured
  const style = getComputedStyle(frame);
  const wide = frame.clientWidth - parseFloat(style.paddingLeft) - parseFloat(style.paddingRight);
  const high = frame.clientHeight - parseFloat(style.paddingTop) - parseFloat(style.paddingBottom);
  const shape = image.naturalWidth / image.naturalHeight;
  image.style.width = `${Math.floor(Math.min(wide, high * shape) * zoom)}px`;
  frame.scrollLeft = x * frame.scrollWidth - frame.clientWidth / 2;
  frame.scrollTop = y * frame.scrollHeight - frame.clientHeight / 2;
  slider.setAttribute("aria-valuetext", zoom === 1 ? "fitted" : `${zoom} times`);
}

// A new picture is loaded before it takes the place of the old one, so that nothing flickers.
async function picture(fresh) {
  const next = fresh.getElementById("chart");
  const now = document.getElementById("chart");
  if (!next) {
    if (!now) frame.replaceChildren(...fresh.getElementById("frame").childNodes);
    return;
  }
  if (now && now.getAttribute("src") === next.getAttribute("src")) return;
  const image = document.importNode(next, true);
  try {
    await image.decode();
  } catch {
    return; // a newer one is on its way
  }
  if (now) image.style.width = now.style.width;
  frame.replaceChildren(image);
  fit();
}

async function refresh() {
  const answer = await fetch("/", { cache: "no-store" });
  if (!answer.ok) return;
  const fresh = new DOMParser().parseFromString(await answer.text(), "text/html");
  document.title = fresh.title;
  for (const part of document.querySelectorAll("[data-live]")) {
    const next = fresh.getElementById(part.id);
    if (part.innerHTML !== next.innerHTML) {
      part.replaceChildren(...document.importNode(next, true).childNodes);
    }
  }
  await picture(fresh);
}

// News may come faster than it is shown: then only the last matters.
let running = false;
let waiting = false;
async function news() {
  waiting = true;
  if (running) return;
  running = true;
  while (waiting) {
    waiting = false;
    try {
      await refresh();
    } catch {
      // the stream of events tells whether the watch is still there
    }
  }
  running = false;
}

const events = new EventSource("/events");
events.addEventListener("message", news);
events.addEventListener("open", () => {
  document.body.classList.remove("lost");
  line.textContent = greeting;
});
events.addEventListener("error", () => {
  document.body.classList.add("lost");
  line.textContent = farewell;
});

slider.addEventListener("input", fit);
window.addEventListener("resize", fit);
window.addEventListener("load", fit);
