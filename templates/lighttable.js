// Lays a photograph beside its chart: corners and landmarks are moved, crosses followed, what
// differs looked through, and the statement written. Nothing is kept here but what is shown.
"use strict";

const part = id => document.getElementById(id);
const NAMES = ["Top left", "Top right", "Bottom right", "Bottom left"];
const AROUND = 9; // crosses around what differs that are shown
let table = null; // what lies on the table, as it was told
let sheet = null; // the photograph that is looked at
let number = 0; // which of them
let followed = null; // what was read of it
let listed = "differences"; // or "unsure": what is looked through
let at = 0; // which of them
let known = []; // cells of which the thread is known: column and row of the part, sign
const pictures = {};

function say(words, mood = "waiting") {
  const said = part("said");
  said.className = `verdict ${mood}`;
  said.textContent = words;
}

async function ask(address, sent) {
  const asked = sent === undefined ? { cache: "no-store" } : {
    method: "POST", headers: { "Content-Type": "application/json" }, body: JSON.stringify(sent),
  };
  let told;
  try {
    told = await (await fetch(address, asked)).json();
  } catch {
    say("The page has ended, or cannot be reached.", "broken");
    return null;
  }
  if (!told.refused) return told;
  say(told.refused, "broken");
  if (told.findings.length) list(told.findings);
  return null;
}

function laid() {
  return {
    sheet: number, shows: part("shows").value, corners: sheet.corners,
    landmarks: sheet.landmarks, seen: table.seen,
  };
}

// What is told of a photograph, each with what to do.
function list(told) {
  part("told").replaceChildren(...told.map(each => {
    const item = document.createElement("li");
    for (const [kind, words] of [["message", each.message], ...each.advice.map(a => ["calm", a])]) {
      const line = document.createElement("p");
      line.className = kind;
      line.textContent = words;
      item.append(line);
    }
    return item;
  }));
}

// --- the photograph, and what is moved over it ----------------------------------------------------

const scale = () => part("stage").clientWidth / sheet.width;
const round = value => Math.round(value * 10) / 10;
const inside = ([u, v]) => [
  round(Math.min(sheet.width, Math.max(0, u))), round(Math.min(sheet.height, Math.max(0, v))),
];

function fit() {
  if (!sheet) return;
  const frame = part("frame");
  const x = (frame.scrollLeft + frame.clientWidth / 2) / frame.scrollWidth;
  const y = (frame.scrollTop + frame.clientHeight / 2) / frame.scrollHeight;
  const wide = Math.min(frame.clientWidth - 32, (frame.clientHeight - 32) * sheet.width / sheet.height);
  part("stage").style.width = `${Math.max(200, wide) * Number(part("zoom").value)}px`;
  frame.scrollLeft = x * frame.scrollWidth - frame.clientWidth / 2;
  frame.scrollTop = y * frame.scrollHeight - frame.clientHeight / 2;
  draw();
}

function look([u, v]) {
  const frame = part("frame"), stage = part("stage");
  frame.scrollLeft = stage.offsetLeft + u * scale() - frame.clientWidth / 2;
  frame.scrollTop = stage.offsetTop + v * scale() - frame.clientHeight / 2;
}

// Everything that can be moved: how it is called, where it is, what follows when it was moved.
function movables() {
  const corners = sheet.corners.map((_, index) => ({
    name: `${NAMES[index]} corner`, kind: "corner",
    get: () => sheet.corners[index],
    set: pixel => { sheet.corners[index] = pixel; },
    done: () => {},
  }));
  const marks = sheet.landmarks.map((mark, index) => ({
    name: `Landmark ${index + 1}`, kind: "mark",
    get: () => mark.slice(2),
    set: pixel => { [mark[2], mark[3]] = pixel; },
    done: () => snap(mark),
  }));
  return [...corners, ...marks];
}

function handles() {
  part("handles").replaceChildren(...movables().map(thing => {
    const button = document.createElement("button");
    button.type = "button";
    button.className = `handle ${thing.kind}`;
    button.setAttribute("aria-describedby", "how");
    button.addEventListener("keydown", event => {
      const step = event.shiftKey ? 0.1 : 1;
      const [right, down] = {
        ArrowLeft: [-step, 0], ArrowRight: [step, 0], ArrowUp: [0, -step], ArrowDown: [0, step],
      }[event.key] ?? [0, 0];
      if (event.key === "Enter") thing.done();
      if (!right && !down) return;
      event.preventDefault();
      const [u, v] = thing.get();
      move(thing, [u + right, v + down]);
    });
    button.addEventListener("pointerdown", event => {
      button.setPointerCapture(event.pointerId);
      const [u, v] = thing.get();
      const from = [event.clientX, event.clientY];
      const drag = now => move(thing, [
        u + (now.clientX - from[0]) / scale(), v + (now.clientY - from[1]) / scale(),
      ]);
      button.addEventListener("pointermove", drag);
      button.addEventListener("pointerup", () => {
        button.removeEventListener("pointermove", drag);
        thing.done();
      }, { once: true });
    });
    button.addEventListener("focus", () => loupe(thing.get()));
    button.thing = thing;
    return button;
  }));
  fields();
  draw();
}

function move(thing, pixel) {
  thing.set(inside(pixel));
  forget();
  numbers();
  draw();
  loupe(thing.get());
}

// What was followed no longer holds once something was moved.
function forget() {
  followed = null;
  list([]);
  part("lists").hidden = true;
  part("one").hidden = true;
  part("none").textContent = "Follow the crosses first.";
  part("none").hidden = false;
  able();
}

// What can be asked for only once the crosses were followed.
function able() {
  for (const id of ["middle", "enter", "know", "draft", "add"]) part(id).disabled = !followed?.followed;
}

function draw() {
  const over = part("over");
  over.setAttribute("viewBox", `0 0 ${sheet.width} ${sheet.height}`);
  const shown = followed?.followed && part("crosses").checked;
  part("fine").setAttribute("d", shown ? followed.fine : "");
  part("tens").setAttribute("d", shown ? followed.tens : "");
  part("edge").setAttribute("points", sheet.corners.join(" "));
  part("ring").setAttribute("points", followed?.[listed]?.[at]?.ring.join(" ") ?? "");
  for (const button of part("handles").children) {
    const [u, v] = button.thing.get();
    button.style.left = `${u * scale()}px`;
    button.style.top = `${v * scale()}px`;
    button.setAttribute("aria-label", `${button.thing.name}, ${u} across, ${v} down`);
  }
}

function loupe([u, v]) {
  const canvas = part("loupe"), pen = canvas.getContext("2d"), near = 11;
  pen.imageSmoothingEnabled = false;
  pen.clearRect(0, 0, canvas.width, canvas.height);
  pen.drawImage(part("photograph"), u - near, v - near, 2 * near, 2 * near, 0, 0, canvas.width, canvas.height);
  pen.strokeStyle = "#b0103c";
  pen.beginPath();
  for (const [x0, y0, x1, y1] of [[.5, 0, .5, .42], [.5, .58, .5, 1], [0, .5, .42, .5], [.58, .5, 1, .5]]) {
    pen.moveTo(x0 * canvas.width, y0 * canvas.height);
    pen.lineTo(x1 * canvas.width, y1 * canvas.height);
  }
  pen.stroke();
}

// --- the same as numbers --------------------------------------------------------------------------

function field(name, get, set, step, of) {
  const input = document.createElement("input");
  Object.assign(input, { type: "number", min: 0, step, value: get() });
  input.setAttribute("aria-label", name);
  input.get = get;
  input.addEventListener("focus", () => loupe(of()));
  input.addEventListener("change", () => {
    if (input.value === "" || !input.validity.valid) {
      input.value = get();
      return;
    }
    set(Number(input.value));
    forget();
    draw();
    loupe(of());
  });
  return input;
}

function row(name, ...inputs) {
  const line = document.createElement(name ? "div" : "li");
  line.className = "pair";
  if (name) line.append(Object.assign(document.createElement("span"), { textContent: name }));
  line.append(...inputs);
  return line;
}

function fields() {
  part("corners").replaceChildren(...NAMES.map((name, index) => row(name, ...[0, 1].map(axis => field(
    `${name} corner, pixels ${axis ? "down" : "across"}`,
    () => sheet.corners[index][axis], value => { sheet.corners[index][axis] = value; }, 0.1, () => sheet.corners[index],
  )))));
  part("landmarks").replaceChildren(...sheet.landmarks.map((mark, index) => {
    const words = ["column", "row", "pixels across", "pixels down"];
    const inputs = words.map((word, axis) => field(
      `Landmark ${index + 1}, ${word}`, () => mark[axis], value => { mark[axis] = value; },
      axis < 2 ? 1 : 0.1, () => mark.slice(2),
    ));
    const remove = Object.assign(document.createElement("button"), { type: "button", textContent: "Remove" });
    remove.setAttribute("aria-label", `Remove landmark ${index + 1}`);
    remove.addEventListener("click", () => {
      sheet.landmarks.splice(index, 1);
      forget();
      handles();
      part("add").focus();
      say(`Landmark ${index + 1} is removed.`);
    });
    return row("", ...inputs, remove);
  }));
}

function numbers() {
  for (const input of document.querySelectorAll("#corners input, #landmarks input")) {
    input.value = input.get();
  }
}

// --- landmarks ------------------------------------------------------------------------------------

// A landmark goes to the crossing nearest to it; what was counted by hand stays.
async function snap(mark) {
  const told = await ask("snap", { sheet: number, u: mark[2], v: mark[3] });
  if (!told) return false;
  const [x, y, u, v] = told.landmark;
  [mark[2], mark[3]] = [u, v];
  if (!mark.counted) [mark[0], mark[1]] = [x, y];
  mark.counted = true;
  numbers();
  draw();
  say(`The landmark is at the crossing ${mark[0]},${mark[1]}. Correct its column and row if you counted others.`);
  return true;
}

part("add").addEventListener("click", async () => {
  const mark = [0, 0, ...middle()];
  if (!await snap(mark)) return;
  sheet.landmarks.push(mark);
  handles();
  part("handles").lastElementChild.focus();
});

// --- following, looking through, writing ----------------------------------------------------------

function busy(is) {
  for (const id of ["follow", "write", "sheet", "take", "kept", "departure", "settled"]) part(id).disabled = is;
  able();
  if (is) for (const id of ["enter", "draft", "add"]) part(id).disabled = true;
}

part("laid").addEventListener("submit", event => {
  event.preventDefault();
  follow();
});

async function follow() {
  say("Following the crosses");
  busy(true);
  const told = await ask("follow", laid());
  busy(false);
  if (!told) return;
  followed = told;
  list(told.told);
  able();
  const many = told.differences.length;
  if (told.followed) {
    part("thread").replaceChildren(...told.crosses.map(([sign, name]) => new Option(`${sign}  ${name}`, sign)));
  }
  turn(many || !told.unsure?.length ? "differences" : "unsure");
  if (!told.followed) {
    say("The crosses could not be followed", "broken");
    return;
  }
  const differ = many === 1 ? "1 place differs" : `${many + told.more} places differ`;
  say(`${told.size[0]} × ${told.size[1]} crosses of ${told.pixels} pixels: ${many ? differ : part("none").textContent}`,
    told.held && !many && !told.told.length ? "well" : "remarks");
  fetched("evened");
  fetched("charted");
}

function fetched(name) {
  const image = new Image();
  image.src = `${name}?${Date.now()}`;
  pictures[name] = image;
  image.decode().then(show, () => {});
}

// Turns to a list, and to one of its places.
function turn(name, index = 0) {
  listed = name;
  at = Math.max(0, Math.min(index, followed.followed ? followed[name].length - 1 : 0));
  const many = followed.followed ? followed[name].length : 0;
  part("lists").hidden = !followed.followed;
  for (const each of ["differences", "unsure"]) {
    document.querySelector(`input[value=${each}]`).checked = each === name;
    part(`${each}-many`).textContent = followed.followed ? `(${followed[each].length})` : "";
    part(`for-${each}`).hidden = each !== name;
  }
  part("one").hidden = !many;
  part("none").hidden = many > 0;
  part("none").textContent = !followed.followed ? "The crosses could not be followed."
    : name === "unsure" ? "Nothing is marked here." : followed.held ? "Nothing differs."
      : "The chart was not held against it.";
  show();
  draw();
}

function show() {
  const one = followed?.[listed]?.[at];
  if (!one) return;
  const more = listed === "differences" && followed.more;
  part("count").textContent = `${at + 1} of ${followed[listed].length}`
    + (more ? `; ${more} more, less surely, come when these are put right` : "");
  part("differs").textContent = one.message.replaceAll("`", "");
  part("sure").textContent = one.sureness ?? "";
  part("take").hidden = !one.cells?.length;
  part("before").disabled = at === 0;
  part("after").disabled = at === followed[listed].length - 1;
  const [x0, y0, x1, y1] = one.box.map(side => (side + followed.around) * followed.cell);
  const reach = Math.max(x1 - x0, y1 - y0) / 2 + AROUND * followed.cell;
  const left = (x0 + x1) / 2 - reach, top = (y0 + y1) / 2 - reach;
  for (const [canvas, name, what] of [["seen", "evened", "Photograph"], ["drawn", "charted", "Chart"]]) {
    const drawn = part(canvas), pen = drawn.getContext("2d"), by = drawn.width / (2 * reach);
    pen.clearRect(0, 0, drawn.width, drawn.height);
    if (pictures[name]?.complete) {
      pen.drawImage(pictures[name], left, top, 2 * reach, 2 * reach, 0, 0, drawn.width, drawn.height);
    }
    for (const [colour, wide] of [["#fff", 5], ["#b0103c", 2.5]]) {
      pen.strokeStyle = colour;
      pen.lineWidth = wide;
      pen.strokeRect((x0 - left) * by - 3, (y0 - top) * by - 3, (x1 - x0) * by + 6, (y1 - y0) * by + 6);
    }
    drawn.setAttribute("aria-label", `${what} around it, ringed`);
  }
  draw();
}

function step(by) {
  turn(listed, at + by);
  look(followed[listed][at].ring[0]);
}
for (const each of document.querySelectorAll("input[name=list]")) {
  each.addEventListener("change", () => turn(each.value));
}
part("before").addEventListener("click", () => step(-1));
part("after").addEventListener("click", () => step(1));

// Sends what is to be written into the chart; false where it is refused.
async function write(address, sent) {
  busy(true);
  const told = await ask(address, sent);
  busy(false);
  if (!told) return false;
  table = told;
  return true;
}

// Has something written, and holds the chart against the photograph anew where the list was left.
async function settle(address, sent, words) {
  if (!await write(address, { ...sent, seen: table.seen })) return;
  const [name, index] = [listed, at];
  await follow();
  if (!followed?.followed) return;
  if (followed[name].length) turn(name, index);
  say(`${words} into ${table.title}`, "well");
}

const one = () => followed[listed][at];
part("take").addEventListener("click", () => settle("enter", { cells: one().cells }, "Written"));
part("settled").addEventListener("click", () => settle("unmark", { at: one().at }, "Without that mark, written"));
for (const [kind, usual] of [["kept", "The maker's own."], ["departure", "Put right here."]]) {
  part(kind).addEventListener("click", () => settle(
    "mark", { kind, box: one().box, words: part("why").value.trim() || usual }, "Marked, and written",
  ));
}

// --- one cell, and a first draft ------------------------------------------------------------------

function cell() {
  return [
    Number(part("column").value) - 1 - followed.left, Number(part("row").value) - 1 - followed.top,
    part("thread").value,
  ];
}

function middle() {
  const frame = part("frame"), stage = part("stage");
  return inside([
    (frame.scrollLeft + frame.clientWidth / 2 - stage.offsetLeft) / scale(),
    (frame.scrollTop + frame.clientHeight / 2 - stage.offsetTop) / scale(),
  ]);
}

part("middle").addEventListener("click", async () => {
  const [u, v] = middle();
  const told = await ask("snap", { sheet: number, u, v });
  if (!told) return;
  part("column").value = told.cell[0] + followed.left + 1;
  part("row").value = told.cell[1] + followed.top + 1;
  say(`Column ${part("column").value}, row ${part("row").value}`);
});

part("cell").addEventListener("submit", event => {
  event.preventDefault();
  settle("enter", { cells: [cell()] }, "Written");
});

part("know").addEventListener("click", () => {
  if (!part("cell").reportValidity()) return;
  const [x, y, sign] = cell();
  known = [...known.filter(each => each[0] !== x || each[1] !== y), [x, y, sign]];
  knowns();
});

function knowns() {
  part("known").replaceChildren(...known.map(each => {
    const name = followed.crosses.find(([sign]) => sign === each[2])?.[1] ?? each[2];
    const words = `Column ${each[0] + followed.left + 1}, row ${each[1] + followed.top + 1}: ${name}`;
    const remove = Object.assign(document.createElement("button"), { type: "button", textContent: "Remove" });
    remove.setAttribute("aria-label", `Remove ${words}`);
    remove.addEventListener("click", () => {
      known = known.filter(other => other !== each);
      knowns();
      part("know").focus();
    });
    return row("", Object.assign(document.createElement("span"), { textContent: words }), remove);
  }));
}

part("drafting").addEventListener("submit", async event => {
  event.preventDefault();
  say("Drafting the crosses");
  if (!await write("draft", { ...laid(), known })) return;
  choices();
  await follow();
  if (followed?.followed) turn("unsure");
  say(`A first draft is written into ${table.title}; look through what is marked`, "well");
});

part("write").addEventListener("click", async () => {
  if (!await write("write", laid())) return;
  const told = table;
  const mine = sheet;
  const same = told.sheets.findIndex(each => each.path === mine.path && String(each.corners) === String(mine.corners));
  number = same < 0 ? Math.min(number, told.sheets.length - 1) : same;
  choices();
  say(`Written into ${told.title}`, "well");
});

// --- opening --------------------------------------------------------------------------------------

function choices() {
  part("sheet").replaceChildren(...table.sheets.map((each, index) => new Option(
    `${each.path}${each.written ? ` (${each.shows || "no part yet"})` : " (not in the chart yet)"}`, index,
  )));
  part("sheet").value = number;
}

async function lay(index) {
  number = index;
  sheet = structuredClone(table.sheets[index]);
  for (const mark of sheet.landmarks) mark.counted = true;
  known = [];
  part("known").replaceChildren();
  forget();
  part("shows").value = sheet.shows;
  const image = part("photograph");
  image.alt = `Photograph ${sheet.path}`;
  image.src = `photograph?${index}`;
  say("Opening the photograph");
  await image.decode().catch(() => {});
  handles();
  fit();
  loupe(sheet.corners[0]);
  say("Set the corners, then follow the crosses");
}

part("sheet").addEventListener("change", () => lay(Number(part("sheet").value)));
part("shows").addEventListener("input", forget);
part("crosses").addEventListener("change", draw);
part("zoom").addEventListener("input", fit);
window.addEventListener("resize", fit);

(async () => {
  table = await ask("table");
  if (!table) return;
  choices();
  await lay(0);
})();
