#include "harness/report/page.hpp"

#include <string_view>

#include "firmware_sim/units/demand.hpp"

// The page is a file of the build; the assembler takes it as it is.
asm(R"(
  .pushsection .rodata
rimebench_page_begin:
  .incbin ")" RIMEBENCH_PAGE R"("
rimebench_page_end:
  .byte 0
  .popsection
)");

extern "C" {
extern const char rimebench_page_begin[];
extern const char rimebench_page_end[];
}

namespace rimebench {

namespace {

constexpr std::string_view kMarker = "@document@";

std::string_view page() {
  return {rimebench_page_begin,
          static_cast<std::size_t>(rimebench_page_end - rimebench_page_begin)};
}

}  // namespace

std::string page_missing() {
  if (page().find(kMarker) != std::string_view::npos) return {};
  return "this build has no report page: run tools/setup (esbuild and the page's libraries), then "
         "build anew; --report FILE.json needs neither";
}

std::string to_page(const std::string& document_json) {
  const std::string_view whole = page();
  const std::size_t at = whole.find(kMarker);
  DEMAND(at != std::string_view::npos);
  std::string text;
  text.reserve(whole.size() + document_json.size() + document_json.size() / 64);
  text += whole.substr(0, at);
  for (const char c : document_json) {
    // Nothing in the document can end the element that it stands in.
    if (c == '<') {
      text += "\\u003c";
    } else {
      text += c;
    }
  }
  return text += whole.substr(at + kMarker.size());
}

}  // namespace rimebench
