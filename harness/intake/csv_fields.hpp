#pragma once

#include <string>
#include <string_view>
#include <vector>

namespace rimebench {

/// Splits one line at a delimiter. A field may stand in double quotes, a doubled quote in it is
/// one; blanks around a field go. A quote that the line does not close ends with it: it never
/// swallows the lines below. `fields` is filled anew.
void split_fields(std::string_view line, char delimiter, std::vector<std::string>& fields);

/// A row's field, or an empty text where it has none there.
const std::string& field_at(const std::vector<std::string>& fields, int column);

/// Without blanks at its ends, the blanks of office programs included.
std::string_view trimmed(std::string_view text);
/// ASCII letters small.
std::string lowered(std::string_view text);

}  // namespace rimebench
