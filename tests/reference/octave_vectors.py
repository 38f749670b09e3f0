#!/usr/bin/env python3
"""Public test vectors of interval arithmetic (IEEE 1788-2015), as Debian's octave-interval carries them.

Reads itl.mat, a file in Octave's binary format, and prints a case a line: the operation, its arguments and the result that is
demanded, each number in hexadecimal; an interval is two numbers, an empty one "nan nan".
"""
import gzip
import math
import struct
import sys

SIZES = {0: "B", 1: "H", 2: "I", 3: "b", 4: "h", 5: "i", 6: "f", 7: "d"}  # save types of Octave's ls-utils
WANTED = {"add": 2, "sub": 2, "mul": 2, "div": 2, "neg": 1, "sqrt": 1, "exp": 1, "log": 1, "sin": 1, "cos": 1, "tan": 1,
          "atan": 1, "abs": 1, "min": 2, "max": 2, "pow": 2, "intersection": 2, "convexHull": 2}


class Reader:
    def __init__(self, data):
        self.data = data
        self.at = 11  # behind the magic word and the kind of floating point

    def take(self, form):
        form = "<" + form
        values = struct.unpack_from(form, self.data, self.at)
        self.at += struct.calcsize(form)
        return values

    def word(self):
        (length,) = self.take("i")
        self.at += length
        return self.data[self.at - length:self.at].decode("latin-1")

    def dims(self):
        (count,) = self.take("i")
        product = 1
        for n in self.take("%di" % -count):
            product *= n
        return product

    def fields(self):
        (count,) = self.take("i")
        return dict(self.named() for _ in range(count))

    def numbers(self, count):
        (kind,) = self.take("B")
        return list(self.take("%d%s" % (count, SIZES[kind])))

    def value(self, kind):
        if kind == "scalar struct":
            return self.fields()
        if kind == "struct":
            self.dims()
            return self.fields()
        if kind == "cell":
            return [self.named()[1] for _ in range(self.dims())]
        if kind == "class":
            self.word()
            return self.fields()
        if kind == "scalar":
            return self.numbers(1)[0]
        if kind == "matrix":
            return self.numbers(self.dims())
        if kind == "bool":
            return bool(self.take("B")[0])
        if kind in ("string", "sq_string"):
            return bytes(self.take("%dB" % self.dims())).decode("latin-1")
        if kind in ("uint8 scalar", "uint8 matrix", "bool matrix"):
            count = 1 if kind == "uint8 scalar" else self.dims()
            return list(self.take("%dB" % count))
        raise ValueError("kind %r at %d" % (kind, self.at))

    def named(self):
        name = self.word()
        self.word()  # a comment
        self.take("BB")
        return name, self.value(self.word())


def flat(value):
    while isinstance(value, list):
        value = value[0]
    return value


def ends(value):
    """An interval, or a number as one."""
    value = value[0] if isinstance(value, list) and len(value) == 1 else value
    if isinstance(value, dict):
        low, high = flat(value["inf"]), flat(value["sup"])
        return (math.nan, math.nan) if low > high else (low, high)
    return (float(value), float(value)) if isinstance(value, (int, float)) else None


def main():
    top = Reader(gzip.open(sys.argv[1]).read()).named()[1]
    for operation, count in WANTED.items():
        cases = top["infsup"].get(operation)
        for given, wanted in zip(cases["in"], cases["out"]) if cases else ():
            arguments = [ends(a) for a in given[:count]]
            result = ends(wanted)
            if result and all(arguments) and len(arguments) == count:
                print(operation, *[float(x).hex() for pair in arguments + [result] for x in pair])


main()
