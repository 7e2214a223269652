// Reading tags in a picture: by the browser's own detector where there is one for QR codes, else by
// the WebAssembly reader in a worker. Gives tags that check; any other code is nobody's business here.

import { tagIn } from "./tag.js";

const LONGEST_PX = 1600; // a photo of 48 million pixels is read no better than one of two
const ALL_LOOKS = ["plain", "soft", "sharp", "black"];

/** Opens a reader: `read(source, looks)` gives the tags in a picture, each once. */
export async function openReader() {
  const own = await ownDetector();
  return own ? detecting(own) : working();
}

async function ownDetector() {
  try {
    const kinds = (await globalThis.BarcodeDetector?.getSupportedFormats()) ?? [];
    return kinds.includes("qr_code") ? new BarcodeDetector({ formats: ["qr_code"] }) : null;
  } catch {
    return null;
  }
}

function detecting(detector) {
  return {
    by: "detector",
    read: async (source) => {
      const picture = await asBitmap(source);
      try {
        return tagsIn((await detector.detect(picture)).map(({ rawValue }) => rawValue));
      } finally {
        picture.close();
      }
    },
  };
}

function working() {
  const worker = new Worker(new URL("reader_worker.js", import.meta.url));
  const waiting = new Map();
  let number = 0;
  worker.addEventListener("message", ({ data }) => {
    const { resolve, reject } = waiting.get(data.number);
    waiting.delete(data.number);
    if (data.fault) reject(new Error(data.fault));
    else resolve(tagsIn(data.texts));
  });
  worker.addEventListener("error", (event) => {
    for (const { reject } of waiting.values()) reject(new Error(event.message));
    waiting.clear();
  });
  return {
    by: "worker",
    read: async (source, looks = ALL_LOOKS) => {
      const picture = await asBitmap(source);
      return new Promise((resolve, reject) => {
        number += 1;
        waiting.set(number, { resolve, reject });
        worker.postMessage({ number, picture, looks }, [picture]);
      });
    },
  };
}

function tagsIn(texts) {
  return [...new Set(texts.map(tagIn).filter(Boolean))];
}

// Upright as the camera meant it, and no larger than is of use.
async function asBitmap(source) {
  const picture = await createImageBitmap(source);
  const longest = Math.max(picture.width, picture.height);
  if (longest <= LONGEST_PX) return picture;
  const scale = LONGEST_PX / longest;
  const small = await createImageBitmap(picture, {
    resizeWidth: Math.round(picture.width * scale),
    resizeHeight: Math.round(picture.height * scale),
    resizeQuality: "medium",
  });
  picture.close();
  return small;
}
