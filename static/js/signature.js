// A signature drawn with finger, pen or mouse becomes a PNG in the form's file input, stroke by stroke.
const INK = "#22201c";
const PAPER = "#ffffff";
const PEN = 5;

export function start(page) {
  for (const box of page.querySelectorAll("[data-signature]")) watch(box);
}

function watch(box) {
  const pad = box.querySelector("[data-pad]");
  const canvas = pad.querySelector("canvas");
  const input = box.querySelector("input[type=file]");
  const says = pad.querySelector("[data-pad-says]");
  const pen = canvas.getContext("2d");
  let last = null;
  let drawn = false;

  const clear = () => {
    pen.fillStyle = PAPER;
    pen.fillRect(0, 0, canvas.width, canvas.height);
    drawn = false;
  };
  const place = (event) => {
    const frame = canvas.getBoundingClientRect();
    return {
      x: ((event.clientX - frame.left) * canvas.width) / frame.width,
      y: ((event.clientY - frame.top) * canvas.height) / frame.height,
    };
  };
  const stroke = (to) => {
    pen.strokeStyle = INK;
    pen.lineWidth = PEN;
    pen.lineCap = pen.lineJoin = "round";
    pen.beginPath();
    pen.moveTo(last.x, last.y);
    pen.lineTo(to.x, to.y);
    pen.stroke();
    last = to;
    drawn = true;
  };
  const keep = () => {
    const transfer = new DataTransfer();
    if (drawn) transfer.items.add(new File([bytes(canvas)], "signature.png", { type: "image/png" }));
    input.files = transfer.files;
    says.textContent = drawn ? says.dataset.wordsDrawn : says.dataset.wordsClear;
    input.dispatchEvent(new Event("input", { bubbles: true }));
  };

  canvas.addEventListener("pointerdown", (event) => {
    if (event.button > 0) return;
    canvas.setPointerCapture(event.pointerId);
    last = place(event);
    stroke({ x: last.x + 0.1, y: last.y });
  });
  canvas.addEventListener("pointermove", (event) => {
    if (!last) return;
    const steps = event.getCoalescedEvents ? event.getCoalescedEvents() : [];
    for (const step of steps.length ? steps : [event]) stroke(place(step));
  });
  for (const end of ["pointerup", "pointercancel"]) {
    canvas.addEventListener(end, () => {
      if (last) keep();
      last = null;
    });
  }
  pad.querySelector("[data-clear]").addEventListener("click", () => {
    clear();
    keep();
  });
  input.form.addEventListener("reset", clear);
  input.form.addEventListener("draft", async () => {
    if (!input.files.length) return;
    pen.drawImage(await createImageBitmap(input.files[0]), 0, 0, canvas.width, canvas.height);
    drawn = true;
  });
  clear();
  pad.hidden = false;
  box.querySelector("[data-file]").hidden = true;
}

// At once, not by a callback: the form may be sent in the moment after the last stroke.
function bytes(canvas) {
  const text = atob(canvas.toDataURL("image/png").split(",")[1]);
  return Uint8Array.from(text, (sign) => sign.charCodeAt(0));
}
