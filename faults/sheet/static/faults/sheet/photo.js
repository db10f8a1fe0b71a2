// Take a photo, made small enough to wait on the phone and to go up over a weak signal.

import { h } from "./view.js";

const LONGEST_PX = 1600;
const QUALITY = 0.82;

export function takePicture(field, at) {
  const said = h("p", { role: "status" });
  const take = async (event) => {
    const [file] = event.target.files;
    if (!file) return;
    try {
      at.draft[field.name] = await small(file);
      at.keep();
      at.again();
    } catch {
      said.textContent = at.words.no_photo;
    }
  };
  const picture = at.draft[field.name];
  const id = `${at.key}-${field.name}`;
  return [
    h("label", { for: id }, field.label),
    h("input", { id, type: "file", accept: "image/*", capture: "environment", change: take }),
    picture ? h("img", { src: picture, alt: at.words.photo_taken, class: "taken" }) : null,
    said,
  ];
}

async function small(file) {
  const picture = await createImageBitmap(file, { imageOrientation: "from-image" });
  const scale = Math.min(1, LONGEST_PX / Math.max(picture.width, picture.height));
  const canvas = document.createElement("canvas");
  canvas.width = Math.max(1, Math.round(picture.width * scale));
  canvas.height = Math.max(1, Math.round(picture.height * scale));
  canvas.getContext("2d").drawImage(picture, 0, 0, canvas.width, canvas.height);
  return canvas.toDataURL("image/jpeg", QUALITY);
}
