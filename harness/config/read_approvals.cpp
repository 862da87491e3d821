#include <algorithm>
#include <string_view>

#include "harness/config/reader.hpp"
#include "harness/config/tables.hpp"

namespace rimebench {

namespace {

/// A day of the proleptic Gregorian calendar as ISO 8601 writes it.
bool is_date(std::string_view text) {
  constexpr std::string_view kForm = "0000-00-00";
  if (text.size() != kForm.size()) return false;
  for (std::size_t i = 0; i < text.size(); ++i) {
    const bool digit = '0' <= text[i] && text[i] <= '9';
    if (kForm[i] == '-' ? text[i] != '-' : !digit) return false;
  }
  const auto number = [&](std::size_t at, std::size_t digits) {
    return std::stoi(std::string(text.substr(at, digits)));
  };
  const int year = number(0, 4), month = number(5, 2), day = number(8, 2);
  constexpr auto kDays = std::to_array({31, 28, 31, 30, 31, 30, 31, 31, 30, 31, 30, 31});
  if (month < 1 || month > 12 || day < 1) return false;
  const bool leap = (year % 4 == 0 && year % 100 != 0) || year % 400 == 0;
  const int days = kDays[static_cast<std::size_t>(month - 1)] + (month == 2 && leap ? 1 : 0);
  return day <= days;
}

void read_date(Section& section, std::string& date) {
  const Value* const value = section.find(kApprovalDateKey.key, false);
  if (value == nullptr) return;
  const std::string path = section.path_of(kApprovalDateKey.key);
  if (value->kind != Value::Kind::kScalar || !is_date(value->text)) {
    const std::string text =
        value->kind == Value::Kind::kScalar ? value->text : std::string(kind_name(value->kind));
    section.reading().problem(value->mark, path,
                              text + " is no date (valid: " + kApprovalDateKey.valid + ')');
    return;
  }
  section.reading().resolved().value(kApprovalDateKey.key, quoted(value->text));
  date = value->text;
}

}  // namespace

std::vector<std::string> approvable_limits() {
  std::vector<std::string> keys{"rating_kpa", "rating_safety_factor"};
  for (const Row<ContainerLimits>& row : kContainerLimitRows) {
    const std::string_view key = row.key;
    if (key != "judge_c" && key != "hot_c") keys.emplace_back(key);
  }
  keys.emplace_back(kHotPromptRow.key);
  for (const Row<RunLimits>& row : kRunLimitRows) {
    const std::string_view key = row.key;
    if (key != "containers_min" && key != "exposed_min") keys.emplace_back(key);
  }
  return keys;
}

void read_approvals(Section& root, std::vector<Approval>& approvals) {
  std::optional<Section> section = root.child(kApprovalsKey.key, false);
  if (!section) return;
  for (const std::string& limit : approvable_limits()) {
    std::optional<Section> one = section->child(limit.c_str(), false);
    if (!one) continue;
    Approval approval{limit, {}};
    if (const auto owner = one->choice(kApprovalOwnerKey, kLimitOwnerWords, false)) {
      approval.owner = static_cast<LimitOwner>(*owner);
    }
    approval.document = one->text(kApprovalDocumentKey).value_or("");
    read_date(*one, approval.date);
    approval.signature = one->text(kApprovalSignatureKey).value_or("");
    one->close();
    approvals.push_back(std::move(approval));
  }
  section->close();
}

}  // namespace rimebench
