// The packed columns of every container: base64, zlib, little-endian numbers, some as differences.

const READERS = {
  i8: ["getInt8", 1],
  u8: ["getUint8", 1],
  i16: ["getInt16", 2],
  u16: ["getUint16", 2],
  i32: ["getInt32", 4],
  u32: ["getUint32", 4],
  f64: ["getFloat64", 8],
};

async function inflate(base64) {
  const text = atob(base64);
  const bytes = new Uint8Array(text.length);
  for (let i = 0; i < text.length; i += 1) bytes[i] = text.charCodeAt(i);
  const stream = new Blob([bytes]).stream().pipeThrough(new DecompressionStream("deflate"));
  try {
    return new DataView(await new Response(stream).arrayBuffer());
  } catch {
    throw new Error("the packed figures are damaged");
  }
}

function readColumn(data, offset, count, column) {
  const [method, width] = READERS[column.type];
  const values = new Float64Array(count);
  const scale = column.scale ?? 1;
  let sum = 0;
  for (let i = 0; i < count; i += 1) {
    const stored = data[method](offset + i * width, true);
    if (column.delta) {
      sum += stored;
      values[i] = sum * scale;
    } else {
      values[i] = stored === column.null ? NaN : stored * scale;
    }
  }
  return values;
}

/** Rows of every container; a number that is none is NaN. */
export async function unpack(block) {
  const data = await inflate(block.data);
  const columns = new Map();
  let offset = 0;
  for (const column of block.columns) {
    if (!READERS[column.type]) throw new Error(`column ${column.name}: type ${column.type} is not known`);
    columns.set(column.name, {...column, values: readColumn(data, offset, block.count, column)});
    offset += block.count * READERS[column.type][1];
  }
  if (offset !== data.byteLength) {
    throw new Error(`the packed columns have ${data.byteLength} bytes, ${offset} expected`);
  }
  return new Containers(block, columns);
}

const TIMES = /(^|_)us$/;

export class Containers {
  constructor(block, columns) {
    this.block = block;
    this.columns = columns;
    this.count = block.count;
    this.at = this.values("sensor_us") ?? new Float64Array(block.count);
    this.place = this.values("place") ?? new Float64Array(block.count).fill(1);
    this.number = this.values("container") ?? Float64Array.from({length: block.count}, (_, i) => i + 1);
    this.order = inOrder(this.at);
    this.places = [...new Set(this.place)].sort((a, b) => a - b);
    this.placeIndex = new Map(this.places.map((place, i) => [place, i]));
    this.bad = this.flag("bad");
  }

  values(name) {
    return this.columns.get(name)?.values;
  }

  /** One bit of the flags for every container. */
  flag(name) {
    const column = this.columns.get("flags");
    const bit = column?.bits?.indexOf(name) ?? -1;
    const set = new Uint8Array(this.count);
    if (bit < 0) return set;
    for (let i = 0; i < this.count; i += 1) set[i] = Math.floor(column.values[i] / 2 ** bit) % 2;
    return set;
  }

  /** What can be charted: a quantity of the container that is no moment on its way. */
  get charted() {
    const all = [...this.columns.values()].filter((column) => column.quantity && !(TIMES.test(column.name) && column.name !== "wait_us"));
    return all.filter((column) => column.values.some((value) => !Number.isNaN(value)));
  }

  limits(name) {
    return (this.block.limits ?? []).filter((limit) => limit.column === name);
  }

  indexOf(container) {
    const i = this.number.indexOf(container);
    return i;
  }

  /** Words of a container's cause and bits, for people. */
  said(i) {
    const cause = this.columns.get("cause");
    const words = cause?.words ?? [];
    const flags = [];
    for (const column of this.columns.values()) {
      (column.bits ?? []).forEach((bit, n) => {
        if (Math.floor(column.values[i] / 2 ** n) % 2) flags.push(bit);
      });
    }
    const why = cause ? words[cause.values[i]] : undefined;
    if (why && why !== "none") return flags.map((flag) => (flag === "bad" ? `bad: ${why.replaceAll("_", " ")}` : flag));
    return flags;
  }
}

/** Indices in the order of time; null where the rows stand in it already. */
function inOrder(at) {
  for (let i = 1; i < at.length; i += 1) {
    if (at[i] < at[i - 1]) return Uint32Array.from(at.keys()).sort((a, b) => at[a] - at[b] || a - b);
  }
  return null;
}

/** First position in the order of time whose moment is at or after `us`. */
export function positionAt(containers, us) {
  const {at, order} = containers;
  let low = 0;
  let high = at.length;
  while (low < high) {
    const middle = (low + high) >> 1;
    if (at[order ? order[middle] : middle] < us) low = middle + 1;
    else high = middle;
  }
  return low;
}
