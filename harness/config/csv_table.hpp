#pragma once

/// A strict table of comma-separated values: one line of column names, then rows of as many fields.
/// Lines that start with # are notes. No quotes, decimal points, one unit a column, in its name.

#include <cstddef>
#include <optional>
#include <string>
#include <vector>

#include "harness/config/diagnostic.hpp"

namespace rimebench {

/// A column of numbers and the range that a field may have, ends included.
struct CsvColumn {
  const char* name;
  const char* unit;
  double min;
  double max;
  bool required{true};
};

class CsvTable {
 public:
  /// Reads a file. nullopt after a mistake of form, which `diagnostics` then has.
  static std::optional<CsvTable> read(const std::string& path, Diagnostics& diagnostics);
  /// The same from a text; `name` is what diagnostics call it.
  static std::optional<CsvTable> parse(const std::string& name, const std::string& text,
                                       Diagnostics& diagnostics);

  std::size_t rows() const { return rows_.size(); }
  /// The line of each row in the file, from 1.
  std::vector<int> lines() const;
  bool has(const char* column) const;

  /// A column's numbers, or nothing if there is no such column, which is a diagnostic if it is
  /// required. A field that is no number or out of range is one too, and its value the least
  /// allowed.
  std::vector<double> numbers(const CsvColumn& column, Diagnostics& diagnostics);
  /// A required column of yes and no.
  std::vector<bool> yes_no(const char* column, Diagnostics& diagnostics);

  /// Reports every column that nobody asked for.
  void refuse_the_rest(Diagnostics& diagnostics) const;
  /// A mistake in a field, or in the file as a whole where `row` is nothing.
  Diagnostic mistake(std::optional<std::size_t> row, const char* column,
                     const std::string& problem) const;

 private:
  struct Field {
    std::string text;
    int column{};
  };
  struct Row {
    std::vector<Field> fields;
    int line{};
  };

  static Row split(const std::string& text, int line);
  std::optional<std::size_t> index_of(const char* column) const;
  Diagnostic missing(const char* column) const;
  bool check_form(Diagnostics& diagnostics) const;

  std::string file_;
  Row header_;
  std::vector<Row> rows_;
  std::vector<std::string> asked_;
};

/// Mistakes of one file from top to bottom, as columns are read one after the other; at most 20.
Diagnostics in_file_order(Diagnostics diagnostics);

}  // namespace rimebench
