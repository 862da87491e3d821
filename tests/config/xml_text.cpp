/// Any text in an XML file.

#include <doctest/doctest.h>

#include <string>

#include "harness/config/text_file.hpp"
#include "harness/config/xml_text.hpp"

using namespace rimebench;

namespace {

const std::string kNone = "\xEF\xBF\xBD";

}  // namespace

TEST_CASE("xml text: markup is escaped, and attributes keep their line ends and tabs") {
  CHECK(xml_text("a<b> & \"c\"'") == "a&lt;b&gt; &amp; &quot;c&quot;'");
  CHECK(xml_text("a\nb\tc\r") == "a&#10;b&#9;c&#13;");
  CHECK(xml_text("caf\xc3\xa9 \xe2\x82\xac \xf0\x9f\x98\x80") ==
        "caf\xc3\xa9 \xe2\x82\xac \xf0\x9f\x98\x80");
}

TEST_CASE("xml text: what XML 1.0 forbids is replaced (production 2, Char)") {
  CHECK(xml_text(std::string("\0\x01\x1f\x7f", 4)) == kNone + kNone + kNone + "\x7f");
  CHECK(xml_text("\xEF\xBF\xBE|\xEF\xBF\xBF|\xEF\xBF\xBD") == kNone + "|" + kNone + "|" + kNone);
}

TEST_CASE("text: bytes that are no UTF-8 are none, however they look (RFC 3629)") {
  const auto length = [](const char* text) { return utf8_length(text, 0); };
  CHECK(length("\xc3\xa9") == 2);
  CHECK(length("\xe0\xa0\x80") == 3);
  CHECK(length("\xed\x9f\xbf") == 3);
  CHECK(length("\xf4\x8f\xbf\xbf") == 4);
  for (const char* wrong : {"\xc0\x80", "\xc3", "\xe0\x9f\xbf", "\xed\xa0\x80", "\xf0\x8f\xbf\xbf",
                            "\xf4\x90\x80\x80", "\xf5\x80\x80\x80", "\x80", "\xe2\x82"}) {
    CHECK(length(wrong) == 0);
  }
  CHECK(xml_text("a\xed\xa0\x80z") == "a" + kNone + kNone + kNone + "z");
}
