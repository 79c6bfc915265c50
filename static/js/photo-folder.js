// What of a dropped folder or a choice of many files is sent: pictures are, the rest is named with the reason.
// sorted(files) and dropped(dataTransfer) give { pictures: [File], leftOut: [{ name, reason }] }; a folder is gone through to
// the last file.

const PICTURE = /\.(jpe?g|png|webp|hei[cf])$/i;
const OTHER_PICTURE = /\.(tiff?|dng|nef|cr[23]|arw|raf|orf|rw2|gif|bmp|avif|svg|psd)$/i;
const FILM = /\.(mov|mp4|m4v|avi|mkv|webm|3gp)$/i;

// Why a file is left out; nothing for a picture. The studio's machine looks at the bytes: this only spares the way there.
export function reasonAgainst({ name, size, type }) {
  if (/^(\.|~\$|thumbs\.db$|desktop\.ini$)/i.test(name)) return "a hidden file of the computer’s";
  if (size === 0) return "empty";
  if (PICTURE.test(name) || /^image\/(jpeg|png|webp|hei[cf])$/.test(type)) return "";
  if (FILM.test(name) || type.startsWith("video/")) return "a film: take a still from it";
  if (OTHER_PICTURE.test(name) || type.startsWith("image/")) return "a kind of picture not kept here: save it as JPEG";
  return "not a picture";
}

export function sorted(files) {
  const pictures = [];
  const leftOut = [];
  for (const file of files) {
    const reason = reasonAgainst(file);
    if (reason) leftOut.push({ name: file.webkitRelativePath || file.name, reason });
    else pictures.push(file);
  }
  // The camera counts up: by name is the order of shooting.
  const place = (file) => file.webkitRelativePath || file.name;
  pictures.sort((one, other) => place(one).localeCompare(place(other), undefined, { numeric: true }));
  return { pictures, leftOut };
}

const fileOf = (entry) => new Promise((resolve, reject) => entry.file(resolve, reject));

// A folder tells its entries a hundred at a time.
async function entriesOf(folder) {
  const reader = folder.createReader();
  const found = [];
  for (;;) {
    const some = await new Promise((resolve, reject) => reader.readEntries(resolve, reject));
    if (!some.length) return found;
    found.push(...some);
  }
}

async function filesOf(entry, unread) {
  try {
    if (entry.isFile) return [await fileOf(entry)];
    const files = [];
    for (const each of await entriesOf(entry)) files.push(...(await filesOf(each, unread)));
    return files;
  } catch {
    unread.push({ name: entry.fullPath.slice(1), reason: "could not be read" });
    return [];
  }
}

// Must be called while the drop is handled: afterwards a browser no longer tells what was dropped.
export async function dropped(transfer) {
  const entries = [...transfer.items].map((item) => item.webkitGetAsEntry?.()).filter(Boolean);
  if (!entries.length) return sorted([...transfer.files]);
  const unread = [];
  const files = [];
  for (const entry of entries) files.push(...(await filesOf(entry, unread)));
  const { pictures, leftOut } = sorted(files);
  return { pictures, leftOut: [...leftOut, ...unread] };
}
