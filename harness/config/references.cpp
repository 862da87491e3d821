#include "harness/config/references.hpp"

#include <algorithm>
#include <filesystem>
#include <system_error>
#include <utility>
#include <vector>

#include "harness/config/text_file.hpp"

namespace rimebench {

namespace {

/// Files that refer to each other twice over would grow without end otherwise.
constexpr int kReferencesMax = 100;

/// Puts the keys of `over` over those of `base`.
void merge(Value& base, Value&& over) {
  for (Value& item : over.items) {
    Value* const present = base.find(item.key);
    if (present == nullptr) {
      base.items.push_back(std::move(item));
      continue;
    }
    const bool both_maps =
        present->kind == Value::Kind::kMap && item.kind == Value::Kind::kMap && !item.has_base;
    if (both_maps) {
      merge(*present, std::move(item));
    } else {
      *present = std::move(item);
    }
  }
  base.mark = over.mark;
  base.incomplete = base.incomplete || over.incomplete;
}

/// The base of this map is not to be had: no key of it, nor of the maps in it, counts as missing.
void mark_incomplete(Value& map) {
  map.incomplete = true;
  for (Value& item : map.items) {
    if (item.kind == Value::Kind::kMap && !item.has_base) mark_incomplete(item);
  }
}

class Loader {
 public:
  explicit Loader(Findings& findings) : findings_(findings) {}

  std::optional<Value> load_root(const std::string& path) {
    const Mark whole{findings_.add_file(path), 0, 0};
    return load(path, "", whole);
  }

 private:
  /// `referrer` is where a file that is not to be had is reported, under `referrer_key`.
  std::optional<Value> load(const std::string& path, const std::string& prefix,
                            const Mark& referrer) {
    std::error_code error;
    const std::string identity = std::filesystem::weakly_canonical(path, error).string();
    const auto open = std::find_if(chain_.begin(), chain_.end(),
                                   [&](const Link& link) { return link.identity == identity; });
    if (open != chain_.end()) return refuse_cycle(open, path, prefix, referrer);
    std::string problem;
    const std::optional<std::string> text = read_text_file(path, problem);
    if (!text) {
      const bool is_root = chain_.empty();
      findings_.add(referrer, is_root ? "" : joined(prefix, "from"),
                    is_root ? problem : path + ": " + problem);
      return std::nullopt;
    }
    std::optional<Value> tree = parse_yaml(*text, findings_.add_file(path), prefix, findings_);
    if (!tree) return std::nullopt;
    chain_.push_back({identity, path});
    resolve(*tree, prefix);
    chain_.pop_back();
    return tree;
  }

  void resolve(Value& value, const std::string& prefix) {
    for (std::size_t i = 0; i < value.items.size(); ++i) {
      Value& item = value.items[i];
      const bool is_map = value.kind == Value::Kind::kMap;
      if (is_map && item.key == "from") continue;
      resolve(item, is_map ? joined(prefix, item.key) : prefix + '[' + std::to_string(i + 1) + ']');
    }
    const Value* const from = value.kind == Value::Kind::kMap ? value.find("from") : nullptr;
    if (from == nullptr) return;
    std::optional<Value> base = load_base(*from, prefix);
    value.items.erase(value.items.begin() + (from - value.items.data()));
    value.has_base = true;
    if (!base) {
      mark_incomplete(value);
      return;
    }
    base->key = value.key;
    base->key_mark = value.key_mark;
    base->has_base = true;
    merge(*base, std::move(value));
    value = std::move(*base);
  }

  std::optional<Value> load_base(const Value& from, const std::string& prefix) {
    const std::string key = joined(prefix, "from");
    if (from.kind != Value::Kind::kScalar || from.text.empty()) {
      findings_.add(from.mark, key, std::string(kind_name(from.kind)) + ", not a file's path");
      return std::nullopt;
    }
    if (++references_ > kReferencesMax) {
      if (references_ == kReferencesMax + 1) {
        findings_.add(from.mark, key, "more than 100 references");
      }
      return std::nullopt;
    }
    return load(relative_to_file(from.text, findings_.file_name(from.mark.file)), prefix,
                from.mark);
  }

  struct Link {
    std::string identity;  ///< the same for every spelling of the path
    std::string path;
  };

  std::nullopt_t refuse_cycle(std::vector<Link>::const_iterator first, const std::string& path,
                              const std::string& prefix, const Mark& referrer) {
    std::string circle;
    for (; first != chain_.end(); ++first) circle += first->path + " -> ";
    findings_.add(referrer, joined(prefix, "from"), "files refer in a circle: " + circle + path);
    return std::nullopt;
  }

  Findings& findings_;
  std::vector<Link> chain_;
  int references_{0};
};

}  // namespace

std::string relative_to_file(const std::string& path, const std::string& referring_file) {
  return (std::filesystem::path(referring_file).parent_path() / path).lexically_normal().string();
}

std::optional<Value> load_tree(const std::string& path, Findings& findings) {
  return Loader(findings).load_root(path);
}

}  // namespace rimebench
