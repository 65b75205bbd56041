// Loaded into the audio worklet before the module's glue, which makes a TextDecoder and a TextEncoder as it
// is read: that scope has neither.
globalThis.TextDecoder ??= class {
  decode(bytes) {
    let text = "";
    for (let i = 0; bytes && i < bytes.length; ) {
      let c = bytes[i++];
      if (c >= 0xf0) c = ((c & 7) << 18) | ((bytes[i++] & 63) << 12) | ((bytes[i++] & 63) << 6) | (bytes[i++] & 63);
      else if (c >= 0xe0) c = ((c & 15) << 12) | ((bytes[i++] & 63) << 6) | (bytes[i++] & 63);
      else if (c >= 0xc0) c = ((c & 31) << 6) | (bytes[i++] & 63);
      text += String.fromCodePoint(c);
    }
    return text;
  }
};
globalThis.TextEncoder ??= class {
  encode(text) {
    const bytes = [];
    for (const char of text) {
      const c = char.codePointAt(0);
      if (c < 0x80) bytes.push(c);
      else if (c < 0x800) bytes.push(0xc0 | (c >> 6), 0x80 | (c & 63));
      else if (c < 0x10000) bytes.push(0xe0 | (c >> 12), 0x80 | ((c >> 6) & 63), 0x80 | (c & 63));
      else bytes.push(0xf0 | (c >> 18), 0x80 | ((c >> 12) & 63), 0x80 | ((c >> 6) & 63), 0x80 | (c & 63));
    }
    return Uint8Array.from(bytes);
  }
};
