// What may be calculated with: anything else is a RangeError, as it is a TradeError on the laptop.
export function within(value, low, high, above = false) {
  if (typeof value === "number" && (above ? low < value : low <= value) && value <= high) return value;
  throw new RangeError();
}
