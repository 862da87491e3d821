#pragma once

/// The report as one HTML file: the page built from harness/report/page, which is embedded in the
/// program, with a document in it.

#include <string>

namespace rimebench {

/// What is missing for pages and how to get it, in one line; empty if nothing is.
std::string page_missing();

/// The page with this document (a JSON text) in it. Only where nothing is missing.
std::string to_page(const std::string& document_json);

}  // namespace rimebench
