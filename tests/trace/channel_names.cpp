#include "harness/trace/channel_names.hpp"

#include <doctest/doctest.h>

#include <algorithm>
#include <set>
#include <string>

#include "firmware_sim/contract/parameter.hpp"

using namespace rimebench;

TEST_CASE("channels: every one has a number and a name of its own, in number order") {
  const auto names = every_channel_name();
  std::set<Channel> channels;
  std::set<std::string> words;
  for (const ChannelName& row : names) {
    channels.insert(row.channel);
    words.insert(row.name);
  }
  CHECK(channels.size() == names.size());
  CHECK(words.size() == names.size());
  CHECK(std::ranges::is_sorted(names, {}, &ChannelName::channel));
}

TEST_CASE("channels: the entries of a recipe list are numbered from 1") {
  const auto names = every_channel_name();
  const ChannelName third{recipe_channel(slot(Parameter::kOpenCurveUg, 2)), "open_curve_ug_3",
                          "ug"};
  CHECK(std::ranges::find(names, third) != names.end());
}
