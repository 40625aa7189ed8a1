// What was chosen: files of a folder, dropped or chosen, each under its name in the folder.
const PHOTO = /\.(jpe?g|heic|heif|png|tiff?|webp)$/i;

/** Files by their path in the folder, kept while the page's content is exchanged. @type {Map<string, File>} */
export const chosen = new Map();

/** Take files in place of those chosen before; what is no photo by its name is left aside.
 * @param {[string, File][]} named @returns {string} what was found, in a sentence */
export function choose(named) {
  chosen.clear();
  const photos = named.filter(([path]) => PHOTO.test(path) && !path.split('/').pop().startsWith('.'));
  photos.forEach(([path, file]) => chosen.set(path, file));
  const aside = named.length - photos.length;
  if (!photos.length) return 'There is no photo in what was chosen. JPEG, HEIC, PNG, TIFF and WebP can be read.';
  const others = aside ? ` ${aside} other file${aside > 1 ? 's are' : ' is'} no photo by name and left aside.` : '';
  return `${photos.length} photo${photos.length > 1 ? 's' : ''} found.${others}`;
}

/** The chosen file that a line of the list means: by path and size, else by bare name and size where only one fits.
 * @param {{path: string, size: number}} line @returns {File | undefined} */
export function fileOf(line) {
  const exact = chosen.get(line.path);
  if (exact?.size === line.size) return exact;
  const bare = line.path.split('/').pop();
  const alike = [...chosen.values()].filter((file) => file.name === bare && file.size === line.size);
  return alike.length === 1 ? alike[0] : undefined;
}

/** @param {FileList} files @returns {[string, File][]} */
export function ofInput(files) {
  return [...files].map((file) => [file.webkitRelativePath || file.name, file]);
}

/** All files of what was dropped, folders opened. @param {DataTransfer} dropped @returns {Promise<[string, File][]>} */
export async function ofDrop(dropped) {
  const entries = [...dropped.items].map((item) => item.webkitGetAsEntry?.()).filter(Boolean);
  if (!entries.length) return ofInput(dropped.files);
  return (await Promise.all(entries.map(opened))).flat();
}

async function opened(entry) {
  const path = entry.fullPath.replace(/^\//, '');
  if (entry.isFile) return [[path, await new Promise((give, fail) => { entry.file(give, fail); })]];
  const reader = entry.createReader();
  const inside = [];
  for (;;) { // a reader hands out a hundred at a time
    const some = await new Promise((give, fail) => { reader.readEntries(give, fail); });
    if (!some.length) break;
    inside.push(...some);
  }
  return (await Promise.all(inside.map(opened))).flat();
}
