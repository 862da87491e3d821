#include "harness/config/csv_table.hpp"

#include <algorithm>

#include "harness/config/edit_distance.hpp"
#include "harness/config/number.hpp"
#include "harness/config/text_file.hpp"

namespace rimebench {

namespace {

constexpr std::size_t kRowsMax = 100'000;
constexpr std::size_t kMistakesShown = 20;

std::string in_range(const CsvColumn& column) {
  std::string text = " (valid: " + number_text(column.min) + ".." + number_text(column.max);
  if (*column.unit != '\0') text += std::string(" ") + column.unit;
  return text + ')';
}

std::string fields_text(std::size_t count) {
  return std::to_string(count) + (count == 1 ? " field" : " fields");
}

}  // namespace

std::optional<CsvTable> CsvTable::read(const std::string& path, Diagnostics& diagnostics) {
  std::string problem;
  const auto text = read_text_file(path, problem);
  if (text) return parse(path, *text, diagnostics);
  diagnostics.push_back({{path, 0, 0, ""}, problem});
  return std::nullopt;
}

std::optional<CsvTable> CsvTable::parse(const std::string& name, const std::string& text,
                                        Diagnostics& diagnostics) {
  CsvTable table;
  table.file_ = name;
  int number = 0;
  for (std::size_t at = 0; at < text.size() && table.rows_.size() <= kRowsMax;) {
    const std::size_t end = std::min(text.find('\n', at), text.size());
    std::string line = text.substr(at, end - at);
    at = end + 1;
    ++number;
    if (!line.empty() && line.back() == '\r') line.pop_back();
    if (!line.empty() && line.front() == '#') continue;
    if (table.header_.line == 0) {
      table.header_ = split(line, number);
    } else {
      table.rows_.push_back(split(line, number));
    }
  }
  if (!table.check_form(diagnostics)) return std::nullopt;
  return table;
}

CsvTable::Row CsvTable::split(const std::string& text, int line) {
  Row row;
  row.line = line;
  std::size_t at = 0;
  for (bool more = true; more;) {
    const std::size_t comma = text.find(',', at);
    more = comma != std::string::npos;
    const std::size_t end = more ? comma : text.size();
    row.fields.push_back({text.substr(at, end - at), static_cast<int>(at) + 1});
    at = end + 1;
  }
  return row;
}

bool CsvTable::check_form(Diagnostics& diagnostics) const {
  const std::size_t before = diagnostics.size();
  if (header_.line == 0 || rows_.empty()) {
    diagnostics.push_back(mistake(std::nullopt, "", "no rows below a line of column names"));
  }
  if (rows_.size() > kRowsMax) {
    diagnostics.push_back(
        mistake(std::nullopt, "", "more than " + std::to_string(kRowsMax) + " rows"));
  }
  for (auto name = header_.fields.begin(); name != header_.fields.end(); ++name) {
    const auto same = [&](const Field& other) { return other.text == name->text; };
    if (std::any_of(header_.fields.begin(), name, same)) {
      diagnostics.push_back(
          {{file_, header_.line, name->column, name->text}, "a column named twice"});
    }
  }
  for (const Row& row : rows_) {
    if (row.fields.size() == header_.fields.size()) continue;
    diagnostics.push_back({{file_, row.line, 1, ""},
                           fields_text(row.fields.size()) + ", but the line of column names has " +
                               std::to_string(header_.fields.size())});
  }
  return diagnostics.size() == before;
}

std::optional<std::size_t> CsvTable::index_of(const char* column) const {
  for (std::size_t i = 0; i < header_.fields.size(); ++i) {
    if (header_.fields[i].text == column) return i;
  }
  return std::nullopt;
}

std::vector<int> CsvTable::lines() const {
  std::vector<int> lines;
  for (const Row& row : rows_) lines.push_back(row.line);
  return lines;
}

bool CsvTable::has(const char* column) const { return index_of(column).has_value(); }

std::vector<double> CsvTable::numbers(const CsvColumn& column, Diagnostics& diagnostics) {
  asked_.emplace_back(column.name);
  std::vector<double> values;
  const auto index = index_of(column.name);
  if (!index && column.required) diagnostics.push_back(missing(column.name));
  for (std::size_t i = 0; index && i < rows_.size(); ++i) {
    const std::string& text = rows_[i].fields[*index].text;
    std::string problem;
    const auto value = parse_real(text, problem);
    if (value && column.min <= *value && *value <= column.max) {
      values.push_back(*value);
      continue;
    }
    if (value) problem = text + " is out of range";
    if (text.empty()) problem = "an empty field";
    diagnostics.push_back(mistake(i, column.name, problem + in_range(column)));
    values.push_back(column.min);
  }
  return values;
}

std::vector<bool> CsvTable::yes_no(const char* column, Diagnostics& diagnostics) {
  asked_.emplace_back(column);
  std::vector<bool> values;
  const auto index = index_of(column);
  if (!index) diagnostics.push_back(missing(column));
  for (std::size_t i = 0; index && i < rows_.size(); ++i) {
    const std::string& text = rows_[i].fields[*index].text;
    values.push_back(text == "yes");
    if (text == "yes" || text == "no") continue;
    const std::string problem = text.empty() ? "an empty field" : text + " is no such word";
    diagnostics.push_back(mistake(i, column, problem + " (valid: yes, no)"));
  }
  return values;
}

Diagnostic CsvTable::missing(const char* column) const {
  return {{file_, header_.line, 1, column}, "no such column, but it is needed"};
}

void CsvTable::refuse_the_rest(Diagnostics& diagnostics) const {
  for (const Field& name : header_.fields) {
    if (std::find(asked_.begin(), asked_.end(), name.text) != asked_.end()) continue;
    std::string problem = "no such column";
    if (const auto meant = nearest_word(name.text, asked_)) problem += "; " + *meant + "?";
    diagnostics.push_back({{file_, header_.line, name.column, name.text}, problem});
  }
}

Diagnostic CsvTable::mistake(std::optional<std::size_t> row, const char* column,
                             const std::string& problem) const {
  if (!row) return {{file_, 0, 0, column}, problem};
  const auto index = index_of(column);
  const int at = index ? rows_[*row].fields[*index].column : 1;
  return {{file_, rows_[*row].line, at, column}, problem};
}

Diagnostics in_file_order(Diagnostics diagnostics) {
  const auto above = [](const Diagnostic& a, const Diagnostic& b) {
    return a.where.line < b.where.line;
  };
  std::stable_sort(diagnostics.begin(), diagnostics.end(), above);
  if (diagnostics.size() <= kMistakesShown) return diagnostics;
  const Where first_hidden = diagnostics[kMistakesShown].where;
  diagnostics.resize(kMistakesShown);
  diagnostics.push_back({first_hidden, "more mistakes from here on are not shown"});
  return diagnostics;
}

}  // namespace rimebench
