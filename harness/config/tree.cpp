#include "harness/config/tree.hpp"

#include <yaml-cpp/depthguard.h>
#include <yaml-cpp/eventhandler.h>
#include <yaml-cpp/exceptions.h>
#include <yaml-cpp/parser.h>

#include <algorithm>
#include <sstream>
#include <utility>

#include "harness/config/text_file.hpp"

namespace rimebench {

const Value* Value::find(const std::string& wanted) const {
  const auto found = std::find_if(items.begin(), items.end(),
                                  [&](const Value& item) { return item.key == wanted; });
  return found == items.end() ? nullptr : &*found;
}

Value* Value::find(const std::string& wanted) {
  return const_cast<Value*>(std::as_const(*this).find(wanted));
}

const char* kind_name(Value::Kind kind) {
  switch (kind) {
    case Value::Kind::kNothing:
      return "nothing";
    case Value::Kind::kScalar:
      return "a single value";
    case Value::Kind::kList:
      return "a list";
    case Value::Kind::kMap:
      return "a map";
  }
  return "";
}

std::string joined(const std::string& prefix, const std::string& key) {
  return prefix.empty() ? key : prefix + '.' + key;
}

namespace {

constexpr std::size_t kMapKeysMax = 200;

/// Builds the tree from the parser's events.
class Builder final : public YAML::EventHandler {
 public:
  Builder(const std::string& text, int file, std::string prefix, Findings& findings)
      : text_(text), file_(file), prefix_(std::move(prefix)), findings_(findings) {}

  Value take_root() { return std::move(root_); }

  void OnDocumentStart(const YAML::Mark&) override {}
  void OnDocumentEnd() override {
    // The parser takes the end of the text for a closing quote.
    if (!quote_is_closed(text_, last_quoted_.mark.line, last_quoted_.mark.column)) {
      findings_.add(last_quoted_.mark, last_quoted_.path, "the quote that opens here stays open");
    }
  }
  void OnNull(const YAML::Mark& mark, YAML::anchor_t anchor) override {
    refuse(mark, "?", anchor);
    put(start(Value::Kind::kNothing, mark));
  }
  void OnAlias(const YAML::Mark& mark, YAML::anchor_t) override {
    findings_.add(place(mark), path(), "an alias: use from: to share a map");
    put(start(Value::Kind::kNothing, mark));
  }
  void OnScalar(const YAML::Mark& mark, const std::string& tag, YAML::anchor_t anchor,
                const std::string& text) override {
    refuse(mark, tag, anchor);
    Value value = start(Value::Kind::kScalar, mark);
    value.text = text;
    value.quoted = tag == "!";
    if (value.quoted) last_quoted_ = {value.mark, path()};
    put(std::move(value));
  }
  void OnSequenceStart(const YAML::Mark& mark, const std::string& tag, YAML::anchor_t anchor,
                       YAML::EmitterStyle::value) override {
    refuse(mark, tag, anchor);
    open_.push_back({start(Value::Kind::kList, mark), {}});
  }
  void OnSequenceEnd() override { close(); }
  void OnMapStart(const YAML::Mark& mark, const std::string& tag, YAML::anchor_t anchor,
                  YAML::EmitterStyle::value) override {
    refuse(mark, tag, anchor);
    open_.push_back({start(Value::Kind::kMap, mark), {}});
  }
  void OnMapEnd() override { close(); }

 private:
  struct Open {
    Value value;
    Value key;
    bool has_key{false};
    bool overfull{false};
  };
  struct Quoted {
    Mark mark;
    std::string path;
  };

  Mark place(const YAML::Mark& mark) const { return {file_, mark.line + 1, mark.column + 1}; }
  Value start(Value::Kind kind, const YAML::Mark& mark) const {
    Value value;
    value.kind = kind;
    value.mark = place(mark);
    return value;
  }

  /// The dotted key of the value that comes next.
  std::string path() const {
    std::string path = prefix_;
    for (const Open& open : open_) {
      if (open.value.kind == Value::Kind::kList) {
        path += '[' + std::to_string(open.value.items.size() + 1) + ']';
      } else if (open.has_key) {
        path = joined(path, open.key.text);
      }
    }
    return path;
  }

  void refuse(const YAML::Mark& mark, const std::string& tag, YAML::anchor_t anchor) {
    if (anchor != 0) findings_.add(place(mark), path(), "an anchor: use from: to share a map");
    if (tag != "?" && tag != "!") {
      findings_.add(place(mark), path(), "a tag: the key says which type its value has");
    }
  }

  void close() {
    Value value = std::move(open_.back().value);
    open_.pop_back();
    put(std::move(value));
  }

  void put(Value value) {
    if (open_.empty()) {
      root_ = std::move(value);
      return;
    }
    Open& parent = open_.back();
    if (parent.value.kind == Value::Kind::kMap && !parent.has_key) {
      parent.key = std::move(value);
      parent.has_key = true;
      return;
    }
    if (parent.value.kind == Value::Kind::kMap) {
      put_under_key(std::move(value));
    } else {
      parent.value.items.push_back(std::move(value));
    }
  }

  void put_under_key(Value value) {
    Open& parent = open_.back();
    const Mark mark = parent.key.mark;
    if (parent.value.items.size() == kMapKeysMax) {
      if (!parent.overfull) findings_.add(mark, prefix_, "more keys than any map here has");
      parent.overfull = true;
      parent.has_key = false;
      return;
    }
    if (parent.key.kind != Value::Kind::kScalar || parent.key.text.empty()) {
      parent.has_key = false;
      findings_.add(mark, path(), "a key must be a word");
      return;
    }
    if (const Value* first = parent.value.find(parent.key.text)) {
      findings_.add(mark, path(),
                    "given twice, first in line " + std::to_string(first->key_mark.line));
      parent.has_key = false;
      return;
    }
    value.key = std::move(parent.key.text);
    value.key_mark = mark;
    // A value left out is marked by the parser where the next token stands: that misleads.
    if (value.kind == Value::Kind::kNothing) value.mark = mark;
    parent.value.items.push_back(std::move(value));
    parent.has_key = false;
  }

  const std::string& text_;
  int file_;
  std::string prefix_;
  Findings& findings_;
  std::vector<Open> open_;
  Quoted last_quoted_;
  Value root_;
};

}  // namespace

std::optional<Value> parse_yaml(const std::string& text, int file, const std::string& prefix,
                                Findings& findings) {
  Builder builder(text, file, prefix, findings);
  const auto failed = [&](const YAML::Exception& error, const std::string& why) {
    findings.add({file, error.mark.line + 1, error.mark.column + 1}, prefix, why);
    return std::nullopt;
  };
  try {
    std::istringstream stream(text);
    YAML::Parser parser(stream);
    if (!parser.HandleNextDocument(builder)) {
      findings.add({file, 0, 0}, prefix, "the file is empty");
      return std::nullopt;
    }
    Value root = builder.take_root();
    if (parser.HandleNextDocument(builder)) {
      findings.add(builder.take_root().mark, prefix, "a second document: one file is one map");
    }
    if (root.kind == Value::Kind::kMap) return root;
    findings.add(root.mark, prefix, std::string(kind_name(root.kind)) + ", not a map of keys");
    return std::nullopt;
  } catch (const YAML::DeepRecursion& error) {
    return failed(error, "nested too deeply");
  } catch (const YAML::Exception& error) {
    return failed(error, "not valid YAML: " + error.msg);
  }
}

}  // namespace rimebench
