// A bundle of what waits on this phone, made here without a server: docs/file-format.md. `putback
// merge` takes it in; what is sent by the queue afterwards is known there already.

import { canonical } from "./canonical.js";
import { sha256 } from "./digest.js";
import { instant } from "./identity.js";
import { blobsOf } from "./queue.js";
import { zip } from "./zip.js";

const ENDINGS = {
  "image/jpeg": "jpg",
  "image/png": "png",
  "image/gif": "gif",
  "image/webp": "webp",
  "image/heic": "heic",
  "audio/webm": "webm",
  "audio/mp4": "m4a",
  "audio/mpeg": "mp3",
  "audio/ogg": "ogg",
  "audio/wav": "wav",
};

const README = (name, count) => `\
WHAT WAITED ON A PHONE: ${name}

This archive holds ${count} entries of the logbook of a vehicle that is being restored. They were logged
on a phone by a program called Putback and had not reached its server when this file was made. It is a
part of the logbook only; where there is a copy of it, take it in with: putback merge FILE
else with putback import FILE, and merge the last backup or bundle of the vehicle as well

  logbook.jsonl   one entry a line, a JSON object (RFC 8259): one thing that somebody says happened
  photos/         photos and spoken notes; a file is named by the SHA-256 of its bytes
  manifest.json   the SHA-256 of each file, so that you can see whether anything was changed

In an entry, "kind" says what happened, "body" the details, "happened_at" when, "who" by whom. Lengths
are in metres, masses in kg, torques in N·m, times in minutes, volumes in cubic metres.
`;

/** Makes the bundle of queued acts of one vehicle; `files` are the photos they name. */
async function bundleOf(acts, files) {
  const [{ logbook, vehicle }] = acts;
  const lines = acts.flatMap(({ bytes }) => bytes.split("\n"));
  let sum = 0n;
  for (const line of lines) sum += BigInt(`0x${await sha256(line)}`);
  const members = [
    ["logbook.jsonl", lines.map((line) => `${line}\n`).join("")],
    ["garage.jsonl", ""],
    ...files.map(({ photo, media_type, bytes }) => [
      `photos/${photo}.${ENDINGS[media_type] ?? "bin"}`,
      bytes,
    ]),
  ];
  const digests = [];
  for (const [name, content] of members) digests.push([name, await sha256(content)]);
  const here = new Set(files.map(({ photo }) => photo));
  const missing = acts.flatMap(({ photos }) => photos).filter((photo) => !here.has(photo));
  const manifest = {
    logbook,
    name: vehicle || logbook,
    made_at: instant(Date.now()),
    program: "Putback on a phone",
    entries: lines.length,
    garage_entries: 0,
    digest: await sha256(`${lines.length} ${sum.toString(16)}`),
    files: Object.fromEntries(digests),
    photos_missing: [...new Set(missing)].sort(),
    format: "putback bundle 1",
  };
  return zip([
    ["manifest.json", `${canonical(manifest)}\n`],
    ["README.txt", README(manifest.name, lines.length)],
    ...members,
  ]);
}

/** Saves a bundle for each vehicle that the acts are of; photos are taken from the queue, or given. */
export async function saveBundle(acts, files) {
  for (const logbook of new Set(acts.map((each) => each.logbook))) {
    const own = acts.filter((each) => each.logbook === logbook);
    const bundle = await bundleOf(own, files ?? (await blobsOf(own)));
    const link = document.createElement("a");
    link.href = URL.createObjectURL(bundle);
    link.download = `queued-${logbook}.zip`;
    link.click();
    setTimeout(() => URL.revokeObjectURL(link.href), 60_000);
  }
}
