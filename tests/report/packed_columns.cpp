/// Columns as a page holds them; tests/dossier/test_documents.py reads them back with other tools.

#include <doctest/doctest.h>

#include <string>
#include <vector>

#include "harness/report/packed_columns.hpp"

using namespace rimebench;

namespace {

std::string text_in_base64(const std::string& text) {
  return base64(std::vector<std::uint8_t>(text.begin(), text.end()));
}

StoredColumn stored(std::vector<std::int64_t> values, bool delta = false) {
  PackedColumns columns;
  ColumnForm form;
  form.delta = delta;
  columns.add(form, values);
  return columns.columns().front();
}

}  // namespace

TEST_CASE("base64: the vectors of RFC 4648, section 10") {
  CHECK(text_in_base64("").empty());
  CHECK(text_in_base64("f") == "Zg==");
  CHECK(text_in_base64("fo") == "Zm8=");
  CHECK(text_in_base64("foo") == "Zm9v");
  CHECK(text_in_base64("foob") == "Zm9vYg==");
  CHECK(text_in_base64("fooba") == "Zm9vYmE=");
  CHECK(text_in_base64("foobar") == "Zm9vYmFy");
  CHECK(base64(std::vector<std::uint8_t>{0xfb, 0xff, 0xfe}) == "+//+");
}

TEST_CASE("packed columns: each is stored in the narrowest type that holds it") {
  const auto type = [](std::int64_t least, std::int64_t most) {
    return std::string(stored({least, most}).type);
  };
  CHECK(type(0, 255) == "u8");
  CHECK(type(-1, 127) == "i8");
  CHECK(type(-1, 128) == "i16");
  CHECK(type(0, 256) == "u16");
  CHECK(type(-32'768, 32'767) == "i16");
  CHECK(type(0, 65'536) == "u32");
  CHECK(type(-1, 2'147'483'647) == "i32");
  CHECK(type(0, 4'294'967'296) == "f64");
  CHECK(std::string(stored({1'000'000, 1'000'001, 1'000'002}, true).type) == "u32");
  CHECK(std::string(stored({1, 2, 300}, true).type) == "u16");
}

TEST_CASE("packed columns: the number that stands for none is no number of the column") {
  const StoredColumn full = stored({0, 255, kNoNumber});
  CHECK(std::string(full.type) == "u16");
  CHECK(full.has_null);
  CHECK(full.null == 65'535);
  const StoredColumn fits = stored({0, 254, kNoNumber});
  CHECK(std::string(fits.type) == "u8");
  CHECK(fits.null == 255);
  CHECK_FALSE(stored({0, 255}).has_null);
  CHECK_FALSE(stored({5, kNoNumber, 7}, true).form.delta);
}
