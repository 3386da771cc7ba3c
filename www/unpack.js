// Unpacks the program of a saved page. What packs it is crates/xtask/src/pack.rs.
//
// The text of the data block comes here as bytes, one for each letter of windows-1252, in which a
// few that HTML would change stand as pairs.
// What they hold is a file of the format LZMA (as in "LZMA specification (draft version)" by
// Igor Pavlov, in the public domain), and in that lie, one after the other: the length of the
// script, the script, the streams of the module (crates/xtask/src/streams.rs), and the CRC-32 of all
// before it. Whatever is damaged throws;
// nothing here reads on past the end or runs on.
const unpackProgram = (() => {
  "use strict";
  const LARGEST = 1 << 26;
  const damaged = () => new Error("this file is damaged. Copy it again from where it came from");

  const ESCAPE = 61;
  const withoutPairs = (letters) => {
    const bytes = new Uint8Array(letters.length);
    let end = 0;
    for (let at = 0; at < letters.length; at += 1) {
      // Half a pair at the end becomes a byte too many, which the sum of all finds.
      bytes[end] = letters[at] === ESCAPE ? letters[(at += 1)] ^ 0x40 : letters[at];
      end += 1;
    }
    return bytes.subarray(0, end);
  };

  const expand = (bytes) => {
    const header = new DataView(bytes.buffer, 0, bytes.length);
    if (bytes.length < 18 || bytes[0] >= 225) throw damaged();
    const size = header.getUint32(5, true);
    if (size > LARGEST || header.getUint32(9, true) !== 0) throw damaged();
    const literalContext = bytes[0] % 9;
    const literalPosition = Math.floor(bytes[0] / 9) % 5;
    const positionBits = Math.floor(bytes[0] / 45);

    // The range decoder. Odds are those of a 0, of 2048.
    let next = 18;
    // In an array, because engines make an object of every number above 2³⁰ that a closure sets.
    const [RANGE, CODE] = [0, 1];
    const coder = Uint32Array.of(0xffffffff, header.getUint32(14));
    const even = (count) => new Uint16Array(count).fill(1024);
    const refill = () => {
      if (next >= bytes.length) throw damaged();
      coder[RANGE] <<= 8;
      coder[CODE] = (coder[CODE] << 8) | bytes[next];
      next += 1;
    };
    const bit = (odds, index) => {
      if (coder[RANGE] < 0x1000000) refill();
      const odd = odds[index];
      const bound = (coder[RANGE] >>> 11) * odd;
      if (coder[CODE] < bound) {
        coder[RANGE] = bound;
        odds[index] = odd + ((2048 - odd) >> 5);
        return 0;
      }
      coder[RANGE] -= bound;
      coder[CODE] -= bound;
      odds[index] = odd - (odd >> 5);
      return 1;
    };
    const plainBits = (count) => {
      let value = 0;
      for (let left = count; left > 0; left -= 1) {
        if (coder[RANGE] < 0x1000000) refill();
        coder[RANGE] >>>= 1;
        const one = coder[CODE] >= coder[RANGE] ? 1 : 0;
        if (one) coder[CODE] -= coder[RANGE];
        value = (value << 1) | one;
      }
      return value;
    };
    const tree = (odds, from, count) => {
      let node = 1;
      for (let left = count; left > 0; left -= 1) node = (node << 1) | bit(odds, from + node);
      return node - (1 << count);
    };
    const reverseTree = (odds, from, count) => {
      let node = 1;
      let value = 0;
      for (let place = 0; place < count; place += 1) {
        const one = bit(odds, from + node);
        node = (node << 1) | one;
        value |= one << place;
      }
      return value;
    };
    const lengths = () => {
      const choice = even(2);
      const [low, middle, high] = [even(16 << 3), even(16 << 3), even(1 << 8)];
      return (place) => {
        if (bit(choice, 0) === 0) return 2 + tree(low, place << 3, 3);
        if (bit(choice, 1) === 0) return 10 + tree(middle, place << 3, 3);
        return 18 + tree(high, 0, 8);
      };
    };

    const literals = even(0x300 << (literalContext + literalPosition));
    const [isMatch, isLongRepeat] = [even(12 << 4), even(12 << 4)];
    const [isRepeat, isNotFirst, isNotSecond, isNotThird] = [even(12), even(12), even(12), even(12)];
    const [slots, near, aligned] = [even(4 << 6), even(128), even(16)];
    const [matchLength, repeatLength] = [lengths(), lengths()];

    const distanceAfter = (length) => {
      const slot = tree(slots, Math.min(length - 2, 3) << 6, 6);
      if (slot < 4) return slot;
      const count = (slot >> 1) - 1;
      const start = (2 | (slot & 1)) << count;
      if (slot < 14) return start + reverseTree(near, start - slot, count);
      return (start >>> 0) + plainBits(count - 4) * 16 + reverseTree(aligned, 0, 4);
    };

    const out = new Uint8Array(size);
    let end = 0;
    let state = 0;
    // The distances of the last four matches, less one, the last one first.
    let [first, second, third, fourth] = [0, 0, 0, 0];
    while (end < size) {
      const place = end & ((1 << positionBits) - 1);
      if (bit(isMatch, (state << 4) + place) === 0) {
        const before = end > 0 ? out[end - 1] : 0;
        const high = (end & ((1 << literalPosition) - 1)) << literalContext;
        const from = 0x300 * (high + (before >> (8 - literalContext)));
        let node = 1;
        if (state >= 7) {
          let expected = out[end - first - 1];
          let same = true;
          while (same && node < 0x100) {
            const bitExpected = expected >> 7;
            expected = (expected << 1) & 0xff;
            const one = bit(literals, from + ((1 + bitExpected) << 8) + node);
            node = (node << 1) | one;
            same = one === bitExpected;
          }
        }
        while (node < 0x100) node = (node << 1) | bit(literals, from + node);
        out[end] = node;
        end += 1;
        state = state < 4 ? 0 : state - (state < 10 ? 3 : 6);
        continue;
      }
      let length;
      if (bit(isRepeat, state) === 0) {
        length = matchLength(place);
        [first, second, third, fourth] = [distanceAfter(length), first, second, third];
        state = state < 7 ? 7 : 10;
      } else {
        let short = false;
        if (bit(isNotFirst, state) === 0) {
          short = bit(isLongRepeat, (state << 4) + place) === 0;
        } else if (bit(isNotSecond, state) === 0) {
          [first, second] = [second, first];
        } else if (bit(isNotThird, state) === 0) {
          [first, second, third] = [third, first, second];
        } else {
          [first, second, third, fourth] = [fourth, first, second, third];
        }
        length = short ? 1 : repeatLength(place);
        state = state < 7 ? (short ? 9 : 8) : 11;
      }
      if (first >= end || length > size - end) throw damaged();
      for (; length > 0; length -= 1) {
        out[end] = out[end - first - 1];
        end += 1;
      }
    }
    return out;
  };
  const crc32 = (bytes) => {
    const table = Uint32Array.from({ length: 256 }, (_, value) => {
      for (let step = 0; step < 8; step += 1) value = (value >>> 1) ^ (value & 1 ? 0xedb88320 : 0);
      return value;
    });
    let sum = 0xffffffff;
    for (let at = 0; at < bytes.length; at += 1) sum = (sum >>> 8) ^ table[(sum ^ bytes[at]) & 0xff];
    return ~sum >>> 0;
  };

  // The streams from which the operands of each instruction come, by opcode: numbers of variable
  // length. The opcodes themselves are in stream 2.
  const OPERANDS = [];
  const operands = (from, to, streams) => OPERANDS.fill(streams, from, to + 1);
  OPERANDS.length = 256;
  operands(0, 255, []);
  operands(0x02, 0x04, [3]);
  operands(0x0c, 0x0d, [4]);
  operands(0x10, 0x10, [5]);
  operands(0x11, 0x11, [6, 6]);
  operands(0x20, 0x20, [7]);
  operands(0x21, 0x21, [8]);
  operands(0x22, 0x22, [9]);
  operands(0x23, 0x26, [10]);
  operands(0x28, 0x3e, [11, 12]);
  operands(0x3f, 0x40, [10]);
  operands(0x41, 0x42, [13]);
  operands(0xd0, 0xd0, [10]);
  operands(0xd2, 0xd2, [10]);
  // What memory and table instructions take after their own number, from 8 on.
  const BULK = [2, 1, 2, 1, 2, 1, 2, 1, 1, 1].map((count) => Array(count).fill(10));

  const joined = (bytes) => {
    const sizes = new DataView(bytes.buffer, bytes.byteOffset);
    const streams = [];
    let start = 60;
    for (let at = 0; at < 15; at += 1) {
      const end = start + sizes.getUint32(4 * at, true);
      streams.push({ bytes: bytes.subarray(start, end), next: 0 });
      start = end;
    }
    const rest = streams[0].bytes;
    const before = sizes.getUint32(60, true) + 8;
    const count = sizes.getUint32(64, true);
    // The lengths of functions are all that comes in, at most five bytes each.
    const module = new Uint8Array(bytes.length + 5 * count);
    module.set(rest.subarray(8, before));
    let end = before - 8;
    const byte = (stream) => (module[end++] = stream.bytes[stream.next++]);
    const number = (stream) => {
      let value = 0;
      for (let shift = 0; ; shift += 7) {
        const one = byte(stream);
        value |= (one & 127) << shift;
        if (one < 128) return value;
      }
    };
    for (let left = count; left > 0; left -= 1) {
      const length = end;
      end += 5;
      for (let groups = number(streams[1]); groups > 0; groups -= 1) {
        number(streams[1]);
        byte(streams[1]);
      }
      for (let depth = 0; depth >= 0; ) {
        const code = byte(streams[2]);
        if (code > 1 && code < 5) depth += 1;
        else if (code === 0x0b) depth -= 1;
        else if (code === 0x0e) for (let targets = number(streams[4]); targets >= 0; targets -= 1) number(streams[4]);
        else if (code === 0x43 || code === 0x44) for (let size = code === 0x43 ? 4 : 8; size > 0; size -= 1) byte(streams[14]);
        const more = code === 0xfc ? (BULK[number(streams[10]) - 8] ?? []) : OPERANDS[code];
        for (const stream of more) number(streams[stream]);
      }
      let size = end - length - 5;
      let at = length;
      for (; size > 127; size >>>= 7) module[at++] = (size & 127) | 128;
      module[at++] = size;
      module.copyWithin(at, length + 5, end);
      end -= length + 5 - at;
    }
    module.set(rest.subarray(before), end);
    return module.subarray(0, end + rest.length - before);
  };

  return (letters) => {
    const content = expand(withoutPairs(letters));
    const numbers = new DataView(content.buffer);
    const end = content.length - 4;
    if (end < 4 || numbers.getUint32(end, true) !== crc32(content.subarray(0, end))) throw damaged();
    const start = 4 + numbers.getUint32(0, true);
    const script = new TextDecoder().decode(content.subarray(4, start));
    return { script, module: joined(content.subarray(start, end)) };
  };
})();
