// Parcels that the page has made, opened again.

// The files of an archive by its local headers: name and bytes.
export function unpacked(archive) {
  const files = new Map();
  for (let at = 0; archive.readUInt32LE(at) === 0x04034b50; ) {
    const [size, name] = [archive.readUInt32LE(at + 18), archive.readUInt16LE(at + 26)];
    const bytes = at + 30 + name;
    files.set(archive.toString("latin1", at + 30, bytes), archive.subarray(bytes, bytes + size));
    at = bytes + size;
  }
  return files;
}
