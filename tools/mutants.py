"""Small changes to C++ source, each of which a good test suite should notice."""

import bisect
import re
from dataclasses import dataclass

from sources import code_only, line_of

COMPARISONS = {"<": "<=", "<=": "<", ">": ">=", ">=": ">", "==": "!=", "!=": "=="}
ARITHMETIC = {"+": "-", "-": "+", "*": "/", "/": "*", "%": "*", "<<": ">>", ">>": "<<",
              "&": "|", "|": "&", "^": "|", "+=": "-=", "-=": "+=", "|=": "&=", "^=": "|="}  # fmt: skip
LOGIC = {"&&": "||", "||": "&&"}

# clang-format puts blanks about a binary operator and none about a template's brackets.
_BINARY = re.compile(r"(?<=[\w)\]}]\s)(<<|>>|[-+|^]=|<=|>=|==|!=|&&|\|\||[-+*/%<>&|^])(?=\s)")
_NOT = re.compile(r"!(?=[\w(])")
_STEP = re.compile(r"\+\+|--")
_MINUS = re.compile(r"(?<=[(\s])-(?=[\w(])")
_NUMBER = re.compile(r"(?<![\w.'])(\d[\d']*)(?=(?:_\w+|LL|U)?\b)(?!\.)(?!x)")
_WORD = re.compile(r"\b(true|false)\b")
_CONDITION = re.compile(r"\b(?:if|while) \(")
_RETURN = re.compile(r"\breturn\b\s*([^;]+);")
_CHOICE = re.compile(r"(?<=\s)\?(?=\s)")
_ENUM = re.compile(r"enum class (\w+)[^{;]*\{([^}]*)\}")
_ENUMERATOR = re.compile(r"\b(\w+)::(k\w+)\b(?!::)")

# Statements that can go: an assignment, a call, a step, a way out.
_PLACE = r"[\w:.\[\]]+(?:->[\w.\[\]]+)*(?:\[[^\]]*\][\w.]*)*"
_STATEMENT = re.compile(
    rf"^(?:(?:if \(.*\)|else) )?({_PLACE} (?:[-+|^]?=) .+"
    rf"|\(.+\) = .+|{_PLACE}(?:<\w+>)?\(.*\)|(?:\+\+|--){_PLACE}|return|break|continue);$",
    re.DOTALL,
)


@dataclass(frozen=True)
class Mutant:
    file: str
    line: int
    function: str
    start: int
    end: int
    new: str
    kind: str
    change: str  # one line: `old line` -> `new line`

    @property
    def key(self):
        """What stays the same while the rest of the file moves."""
        return f"{self.file}: {self.function}: {self.change}"

    def apply(self, text):
        return text[: self.start] + self.new + text[self.end :]


def enumerators(texts):
    """{enum: [its values in order]} of every enum class in the texts."""
    found = {}
    for text in texts:
        for match in _ENUM.finditer(code_only(text)):
            names = [part.split("=")[0].strip() for part in match[2].split(",")]
            found.setdefault(match[1], [name for name in names if name])
    return found


def closing(code, opening):
    """Offset of the bracket that closes the one at `opening`."""
    pairs, depth = {"(": ")", "{": "}", "[": "]"}, 0
    for offset in range(opening, len(code)):
        if code[offset] in pairs:
            depth += 1
        elif code[offset] in pairs.values():
            depth -= 1
            if depth == 0:
                return offset
    return len(code) - 1


def _blanked(code, spans):
    for start, end in spans:
        code = code[:start] + re.sub(r"[^\n]", " ", code[start:end]) + code[end:]
    return code


def _not_ours(code):
    """Spans that decide nothing at run time: the preprocessor, what proves things to the compiler,
    includes, aliases, templates' heads, planted defects."""
    for match in re.finditer(r"^[ \t]*#(?:[^\n]*\\\n)*[^\n]*", code, re.MULTILINE):
        yield match.span()
    for match in re.finditer(r"\bstatic_assert\(", code):
        yield match.start(), closing(code, match.end() - 1) + 1
    for match in re.finditer(r"\b(?:namespace \w+_proof |consteval [\w:]+ \w+\([^)]*\) )\{", code):
        yield match.start(), closing(code, match.end() - 1) + 1
    for match in re.finditer(r"\btemplate <[^>]*>|\boperator[^\s(]+|\bif constexpr \([^;{]*\)", code):
        yield match.span()
    for match in re.finditer(r"inline constexpr bool kDefect\w+ = [^;]*;", code):
        yield match.span()
    for match in re.finditer(r"\bif constexpr \(kDefect\w+\) (\{)?|kDefect\w+ \? [^:;]+ :", code):
        end = closing(code, match.end() - 1) if match[1] else match.end()
        yield match.start(), code.find(";", end) if match[0].startswith("if") and not match[1] else end


def _functions(code):
    """[(start, end, name, returns_bool)] of every function body, outermost first."""
    found = []
    for match in re.finditer(r"\{", code):
        head = re.split(r"[;{}]|(?:public|private):", code[: match.start()])[-1].strip()
        named = re.search(r"([\w:~]+|operator\S+)\(", head)
        if not named or head.startswith(("namespace", "if", "for", "while", "switch", "else", "=")):
            continue
        if "=" in head[: named.start()] or re.search(r"\breturn\b", head):
            continue
        before = head[: named.start()]
        found.append((match.start(), closing(code, match.start()), named[1],
                      bool(re.search(r"\bbool\b", before))))  # fmt: skip
    return found


class _Finder:
    def __init__(self, name, text, enums):
        self.name, self.text, self.enums = name, text, enums
        code = code_only(text)
        self.code = _blanked(code, sorted(_not_ours(code)))
        self.functions = _functions(self.code)
        self.starts = [function[0] for function in self.functions]

    def function_at(self, offset):
        for index in range(bisect.bisect(self.starts, offset) - 1, -1, -1):
            if self.functions[index][1] >= offset:
                return self.functions[index]
        return None

    def mutant(self, start, end, new, kind):
        function = self.function_at(start)
        first = self.text.rfind("\n", 0, start) + 1
        last = self.text.find("\n", end)
        old_line = self.text[first:last]
        new_line = self.text[first:start] + new + self.text[end:last]
        change = f"`{' '.join(old_line.split())}` -> `{' '.join(new_line.split())}`"
        return Mutant(self.name, line_of(self.text, start), function[2] if function else "-",
                      start, end, new, kind, change)  # fmt: skip

    def operators(self):
        for table, kind in ((COMPARISONS, "comparison"), (ARITHMETIC, "arithmetic"),
                            (LOGIC, "logic")):  # fmt: skip
            for match in _BINARY.finditer(self.code):
                if match[1] in table:
                    yield self.mutant(*match.span(1), table[match[1]], kind)
        for match in _NOT.finditer(self.code):
            yield self.mutant(*match.span(), "", "logic")
        for match in _MINUS.finditer(self.code):
            yield self.mutant(*match.span(), "", "arithmetic")
        for match in _STEP.finditer(self.code):
            yield self.mutant(*match.span(), "--" if match[0] == "++" else "++", "arithmetic")

    def constants(self):
        for match in _NUMBER.finditer(self.code):
            value = int(match[1].replace("'", ""))
            if self.code[match.end() : match.end() + 1] in "xX" and value == 0:
                continue
            yield self.mutant(*match.span(1), "0" if value == 1 else str(value + 1), "constant")
        for match in _WORD.finditer(self.code):
            yield self.mutant(*match.span(), "false" if match[0] == "true" else "true", "constant")
        for match in _ENUMERATOR.finditer(self.code):
            names = [name for name in self.enums.get(match[1], []) if name not in ("kCount", "kSlots")]
            if match[2] in names and len(names) > 1:
                following = names[(names.index(match[2]) + 1) % len(names)]
                yield self.mutant(*match.span(2), following, "constant")

    def conditions(self):
        for match in _CONDITION.finditer(self.code):
            end = closing(self.code, match.end() - 1)
            inside = self.text[match.end() : end]
            if ";" in inside or " = " in inside:
                continue  # it declares something
            for new in (f"!({inside})", "false" if match[0].startswith("if") else None):
                if new:
                    yield self.mutant(match.end(), end, new, "guard")
        for match in _CHOICE.finditer(self.code):
            yield from self.choice(match.end())

    def choice(self, after):
        """Swaps the two sides of the conditional expression whose "?" ends at `after`."""
        depth, colon = 0, None
        for offset in range(after, len(self.code)):
            letter = self.code[offset]
            depth += letter in "([{"
            depth -= letter in ")]}"
            if letter == "?":
                return  # one within another: its own turn comes
            if letter == ":" and depth == 0 and self.code[offset - 1 : offset + 2] == " : ":
                colon = offset
            if depth < 0 or (depth == 0 and letter in ";,"):
                if colon:
                    yes, no = self.text[after + 1 : colon - 1], self.text[colon + 2 : offset]
                    yield self.mutant(after + 1, offset, f"{no} : {yes}", "choice")
                return

    def returns(self):
        for match in _RETURN.finditer(self.code):
            function = self.function_at(match.start())
            value = self.text[match.start(1) : match.end(1)]
            if function is None or value == "{}":
                continue
            new = f"!({value})" if function[3] else "{}"
            if value in ("true", "false") or self.is_nothing(value):
                continue  # swapped as a constant, or the same
            yield self.mutant(*match.span(1), new, "return")

    def is_nothing(self, value):
        """True if `value` is what `{}` means anyway."""
        named = _ENUMERATOR.fullmatch(value)
        first = named and self.enums.get(named[1], [""])[0] == named[2]
        return first or re.fullmatch(r"std::nullopt|nullptr|0(_\w+)?", value)

    def statements(self):
        for start, end, _, _ in self.functions:
            for match in re.finditer(r"(?<=[;{}:)])\s+([^;{}]+;)|\belse ([^;{}]+;)", self.code[start:end]):
                group = 1 if match[1] else 2
                first, last = start + match.start(group), start + match.end(group)
                found = _STATEMENT.match(self.code[first:last].strip())
                if found and not self.code[first:last].startswith(("if ", "else ", "case", "using")):
                    yield self.mutant(first, last, ";", "statement")


def mutants_of(name, text, enums):
    """Every mutant of one file, in the order of its text, none twice."""
    finder, found, seen = _Finder(name, text, enums), [], set()
    for source in (finder.operators, finder.constants, finder.conditions, finder.returns,
                   finder.statements):  # fmt: skip
        for mutant in source():
            where = (mutant.start, mutant.end, mutant.new)
            if where not in seen:
                seen.add(where)
                found.append(mutant)
    return sorted(found, key=lambda mutant: (mutant.start, mutant.end, mutant.new))
