#include "harness/intake/log_sample.hpp"

#include <algorithm>
#include <array>
#include <map>
#include <stdexcept>

#include "harness/intake/csv_fields.hpp"

namespace rimebench {

namespace {

constexpr std::size_t kLines = 2'000;
constexpr std::array<char, 4> kDelimiters{',', ';', '\t', '|'};
/// Where two fit as well, the rarer in a number or a name.
constexpr std::array<int, 4> kDelimiterTrials{1, 2, 3, 0};

std::vector<TextLine> first_lines(const std::filesystem::path& file, Encoding encoding) {
  TextLines lines(file, encoding);
  std::vector<TextLine> sample;
  for (TextLine line; sample.size() < kLines && lines.next(line);) {
    if (!trimmed(line.text).empty()) sample.push_back(line);
  }
  if (sample.empty()) throw std::invalid_argument(file.string() + ": there is nothing in it");
  return sample;
}

/// How many fields most lines have, and how many lines have them.
struct Split {
  std::size_t fields{};
  std::size_t lines{};
};

Split usual_split(const std::vector<TextLine>& lines, char delimiter) {
  std::map<std::size_t, std::size_t> counts;
  std::vector<std::string> fields;
  for (const TextLine& line : lines) {
    split_fields(line.text, delimiter, fields);
    ++counts[fields.size()];
  }
  Split best;
  for (const auto& [size, count] : counts) {
    if (size >= 2 && count > best.lines) best = {size, count};
  }
  return best;
}

Split find_delimiter(const std::vector<TextLine>& lines, const Choices& choices,
                     FormInference& inference) {
  const auto words = words_of(row_of(Choice::kDelimiter));
  if (const auto chosen = choices.word(Choice::kDelimiter)) {
    inference.form.delimiter = kDelimiters[static_cast<std::size_t>(*chosen)];
    return usual_split(lines, inference.form.delimiter);
  }
  Split best;
  int word = 0;
  for (const int trial : kDelimiterTrials) {
    const char delimiter = kDelimiters[static_cast<std::size_t>(trial)];
    const Split split = usual_split(lines, delimiter);
    if (split.lines <= best.lines) continue;
    best = split;
    word = trial;
    inference.form.delimiter = delimiter;
  }
  inference.decisions.push_back({Choice::kDelimiter, words[static_cast<std::size_t>(word)],
                                 std::to_string(best.lines) + " of the first " +
                                     std::to_string(lines.size()) + " lines then have " +
                                     std::to_string(best.fields) + " fields"});
  return best;
}

bool is_number(const std::string& field) {
  return parse_logged(field, DecimalMark::kBoth).has_value();
}

/// A time of some form and a number beside it, or two numbers.
bool is_data(const std::vector<std::string>& fields) {
  int times = 0, numbers = 0;
  for (const std::string& field : fields) {
    if (scan_calendar(field) || scan_clock_us(field)) {
      ++times;
    } else if (is_number(field)) {
      ++numbers;
    }
  }
  return (times > 0 && numbers > 0) || numbers > 1;
}

/// The header is the first of the lines that stand right above the rows with as many fields.
std::size_t find_header(const std::vector<SampleRow>& rows, std::size_t first_data) {
  const std::size_t size = rows[first_data].fields.size();
  std::size_t header = first_data;
  while (header > 0 && rows[header - 1].fields.size() + 1 >= size &&
         rows[header - 1].fields.size() >= 2 && first_data - header < 2) {
    --header;
  }
  return header;
}

void take_header(const std::vector<SampleRow>& rows, std::size_t header, std::size_t first_data,
                 LogSample& sample) {
  sample.names.resize(rows[first_data].fields.size());
  sample.units.resize(sample.names.size());
  if (header == first_data) return;
  sample.has_header = true;
  const auto copy = [](const SampleRow& from, std::vector<std::string>& to) {
    for (std::size_t i = 0; i < std::min(from.fields.size(), to.size()); ++i) {
      to[i] = from.fields[i];
    }
  };
  copy(rows[header], sample.names);
  if (header + 1 < first_data) copy(rows[header + 1], sample.units);
}

/// The index of the header among the lines as chosen by its number.
std::size_t chosen_header(const std::vector<SampleRow>& rows, double line, std::size_t first_data) {
  for (std::size_t i = 0; i < first_data; ++i) {
    if (static_cast<double>(rows[i].line) == line) return i;
  }
  return first_data;
}

}  // namespace

std::string LogSample::name_of(int column) const {
  const std::string& name = names[static_cast<std::size_t>(column)];
  return std::to_string(column + 1) + (name.empty() ? "" : " (" + name + ")");
}

LogSample read_sample(const std::filesystem::path& file, const Choices& choices,
                      FormInference& inference) {
  if (const auto chosen = choices.word(Choice::kEncoding)) {
    inference.form.encoding = static_cast<Encoding>(*chosen);
  } else {
    const EncodingGuess guess = TextLines::guess(file);
    inference.form.encoding = guess.encoding;
    inference.decisions.push_back(
        {Choice::kEncoding,
         words_of(row_of(Choice::kEncoding))[static_cast<std::size_t>(guess.encoding)], guess.why});
  }
  const auto lines = first_lines(file, inference.form.encoding);
  find_delimiter(lines, choices, inference);
  std::vector<SampleRow> rows;
  for (const TextLine& line : lines) {
    rows.push_back({line.number, {}});
    split_fields(line.text, inference.form.delimiter, rows.back().fields);
  }
  const auto data = std::find_if(rows.begin(), rows.end(),
                                 [](const SampleRow& row) { return is_data(row.fields); });
  if (data == rows.end()) {
    throw std::invalid_argument(file.string() + ": no row with a time and a number in its first " +
                                std::to_string(lines.size()) + " lines");
  }
  const auto first_data = static_cast<std::size_t>(data - rows.begin());
  const auto chosen = choices.number(Choice::kHeaderLine);
  const std::size_t header =
      chosen ? chosen_header(rows, *chosen, first_data) : find_header(rows, first_data);
  LogSample sample;
  take_header(rows, header, first_data, sample);
  inference.form.first_row = data->line;
  if (sample.has_header) inference.form.header = lines[header].text;
  if (!chosen) {
    inference.decisions.push_back(
        {Choice::kHeaderLine, std::to_string(sample.has_header ? rows[header].line : 0),
         "line " + std::to_string(data->line) + " is the first with a time and a number"});
  }
  std::copy_if(data, rows.end(), std::back_inserter(sample.rows),
               [](const SampleRow& row) { return is_data(row.fields); });
  return sample;
}

}  // namespace rimebench
