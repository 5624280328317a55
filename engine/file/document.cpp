// Document: loading, overrides, the expanded text.
#include "engine/file/document.h"

#include <fmt/format.h>

#include <algorithm>
#include <charconv>

#include "engine/core/nearest.h"
#include "engine/core/read_file.h"
#include "engine/core/text.h"
#include "engine/file/limits.h"

namespace wetrun {

using file::Entry;
using file::Kind;
using file::Value;

namespace {

constexpr std::size_t longest_path = 1000;

/// One step of a path: a key, or an index from 0.
struct Part {
  std::string key;
  std::size_t index = 0;
  bool is_index = false;
};

bool is_bare(char c) { return c != '.' && c != '[' && c != ']' && c != '"' && c != '\''; }

/// Reads "unit.\"a.b\".phase[2].within".
class PathReader {
public:
  PathReader(std::string_view path, const SourcePos& where) : path_(path), where_(where) {}

  std::vector<Part> run() {
    if (path_.empty() || path_.size() > longest_path) refuse();
    key();
    while (at_ < path_.size()) {
      if (path_[at_] == '.')
        ++at_, key();
      else if (path_[at_] == '[')
        ++at_, index();
      else
        refuse();
    }
    if (parts_.size() > static_cast<std::size_t>(limits::nesting)) refuse();
    return parts_;
  }

private:
  void key() {
    Part part;
    if (at_ < path_.size() && (path_[at_] == '"' || path_[at_] == '\'')) {
      const std::size_t end = path_.find(path_[at_], at_ + 1);
      if (end == std::string_view::npos) refuse();
      part.key = path_.substr(at_ + 1, end - at_ - 1);
      at_ = end + 1;
    } else {
      const std::size_t start = at_;
      while (at_ < path_.size() && is_bare(path_[at_])) ++at_;
      if (at_ == start) refuse();
      part.key = path_.substr(start, at_ - start);
    }
    parts_.push_back(part);
  }

  void index() {
    Part part;
    part.is_index = true;
    const auto [end, code] = std::from_chars(path_.data() + at_, path_.data() + path_.size(), part.index);
    at_ = static_cast<std::size_t>(end - path_.data());
    if (code != std::errc() || at_ >= path_.size() || path_[at_] != ']') refuse();
    ++at_;
    parts_.push_back(part);
  }

  [[noreturn]] void refuse() const {
    throw InputError(where_, "the path is not understood",
                     "write keys joined by dots, such as unit.tank.volume or phase[0].within");
  }

  std::string_view path_;
  const SourcePos& where_;
  std::size_t at_ = 0;
  std::vector<Part> parts_;
};

/// Walks a path through a tree and puts a value at its end.
class Overrider {
public:
  Overrider(std::shared_ptr<const std::string> said) : said_(std::move(said)), where_{*said_, 0, 0} {}

  void put(Value& root, const std::vector<Part>& parts, const std::string& text) const {
    Value* at = &root;
    std::string path;
    for (std::size_t i = 0; i < parts.size(); ++i) {
      const Part& part = parts[i];
      const bool last = i + 1 == parts.size();
      Value* next = part.is_index ? item(*at, part.index, path, last) : member(*at, part.key, path, last);
      path += part.is_index ? fmt::format("[{}]", part.index) : (path.empty() ? "" : ".") + file::key_text(part.key);
      at = next;
    }
    if (at->kind == Kind::table || at->kind == Kind::array)
      throw error(path + " is " + std::string(to_text(at->kind)), "give the path of one of its values");
    at->kind = at->kind == Kind::text ? Kind::text : Kind::given;
    at->text = text;
    at->place = {0, 0, said_};
  }

private:
  std::unique_ptr<Value> fresh(bool last) const {
    auto value = std::make_unique<Value>();
    value->kind = last ? Kind::given : Kind::table;
    value->place = {0, 0, said_};
    return value;
  }

  Value* member(Value& at, const std::string& key, const std::string& path, bool last) const {
    if (at.kind == Kind::array) return named_item(at, key, path);
    if (at.kind != Kind::table)
      throw error(fmt::format("{} is {} and has no keys", path, to_text(at.kind)), "shorten the path");
    if (Entry* entry = at.find(key)) {
      if (last) entry->place = {0, 0, said_};
      return entry->value.get();
    }
    if (at.entries.size() >= limits::entries) throw error("too many keys in " + path, "use fewer");
    Entry entry;
    entry.key = key;
    entry.place = {0, 0, said_};
    entry.value = fresh(last);
    at.entries.push_back(std::move(entry));
    return at.entries.back().value.get();
  }

  Value* item(Value& at, std::size_t index, const std::string& path, bool last) const {
    if (at.kind != Kind::array)
      throw error(fmt::format("{} is {} and has no entries to count", path, to_text(at.kind)),
                  "use keys joined by dots");
    const bool appends = last && index == at.items.size() && (at.items.empty() || at.items[0]->kind != Kind::table);
    if (appends && at.items.size() >= limits::entries) throw error("too many entries in " + path, "use fewer");
    if (appends) at.items.push_back(fresh(true));
    if (index < at.items.size()) return at.items[index].get();
    throw error(fmt::format("{} has no entry [{}]", path, index),
                at.items.empty() ? "it is empty" : fmt::format("use [0] to [{}]", at.items.size() - 1));
  }

  Value* named_item(const Value& at, const std::string& name, const std::string& path) const {
    std::vector<std::string> names;
    for (const auto& entry : at.items) {
      const Entry* its_name = entry->kind == Kind::table ? entry->find("name") : nullptr;
      if (!its_name || its_name->value->kind != Kind::text) continue;
      if (its_name->value->text == name) return entry.get();
      names.push_back(its_name->value->text);
    }
    const std::string guess = did_you_mean(nearest(name, names));
    throw error(fmt::format("{} has no entry named '{}'", path, shown(name)),
                guess.empty()
                    ? fmt::format("use {}[0] to {}[{}]", path, path, at.items.empty() ? 0 : at.items.size() - 1)
                    : guess);
  }

  InputError error(const std::string& wrong, const std::string& right) const {
    return InputError(where_, wrong, right);
  }

  std::shared_ptr<const std::string> said_;
  SourcePos where_;
};

}  // namespace

Document Document::load(const std::string& file) {
  return parse(read_whole_file(file, limits::file_bytes, "give the path of a TOML file"), file);
}

Document Document::parse(std::string_view text, const std::string& name) { return parse(text, name, 1); }

Document Document::parse_expanded(std::string_view text, const std::string& name) {
  return parse(text, name, limits::expansion);
}

Document Document::parse(std::string_view text, const std::string& name, std::size_t times) {
  Document document;
  document.impl_ = std::make_shared<Impl>();
  document.impl_->file = name;
  document.impl_->root = file::parse_toml(text, name, times);
  return document;
}

void Document::override_value(std::string_view path, std::string_view value, const std::string& said) {
  auto given = std::make_shared<const std::string>(said.empty() ? fmt::format("--set {}={}", path, value) : said);
  const SourcePos where{*given, 0, 0};
  std::size_t bad = 0;
  if (!is_utf8(path, bad) || !is_utf8(value, bad)) throw InputError(where, "not UTF-8 text", "use UTF-8");
  file::require_text(path, where);
  file::require_text(value, where);
  Overrider(given).put(*impl_->root, PathReader(path, where).run(), std::string(value));
}

Table Document::root() const {
  Table table;
  table.impl_ = std::make_shared<Table::Impl>(Table::Impl{impl_, impl_->root.get(), &impl_->record, ""});
  return table;
}

std::string Document::expanded() const { return file::record_text(impl_->record); }

const std::string& Document::file() const { return impl_->file; }

void Document::require_kind(std::string_view kind, int version) const {
  const Table top = root();
  const std::string found = top.text("kind");
  if (found != kind)
    throw top.error("kind", fmt::format("this is a file of kind '{}'", shown(found)),
                    fmt::format("a file of kind '{}' is needed here", kind));
  const long long number = top.count("version", 1, 1000000);
  if (number != version)
    throw top.error("version", fmt::format("version {} is not supported", number),
                    fmt::format("use version = {}", version));
}

}  // namespace wetrun
