// TOML text -> tree. The only file that includes toml++.
//
// Before toml++ sees the text, a short scan refuses what could exhaust the stack of a recursive parser or destructor
// (brackets or dotted keys nested too deep) or the memory of a tree (too many values). It also finds bytes that are not
// UTF-8, with their position, and characters outside quotes and comments that are not ASCII: TOML 1.0 has none there, and
// toml++ 3.3 asked about one from U+00A0 to U+0499 does what is undefined (is_non_ascii_horizontal_whitespace).
#include <fmt/format.h>
#include <toml++/toml.h>

#include <algorithm>
#include <cmath>

#include "engine/core/text.h"
#include "engine/file/limits.h"
#include "engine/file/tree.h"

namespace wetrun::file {
namespace {

SourcePos position_of(std::string_view text, std::size_t offset, const std::string& name) {
  const std::string_view before = text.substr(0, offset);
  const auto line = std::count(before.begin(), before.end(), '\n') + 1;
  const std::size_t start = before.rfind('\n') + 1;  // npos + 1 = 0
  const auto column = std::count_if(before.begin() + static_cast<std::ptrdiff_t>(start), before.end(),
                                    [](char c) { return (static_cast<unsigned char>(c) & 0xc0u) != 0x80u; }) +
                      1;
  return {name, static_cast<int>(line), static_cast<int>(column)};
}

/// Steps over strings and comments of a TOML text and counts what makes values: brackets, dots of keys, commas, equals
/// signs.
class SizeScan {
public:
  SizeScan(std::string_view text, const std::string& name, std::size_t times)
      : text_(text), name_(name), most_values_(times * limits::values) {}

  void run() {
    if (text_.starts_with("\xef\xbb\xbf")) at_ = 3;  // the mark that some editors put first
    while (at_ < text_.size()) {
      const char c = text_[at_];
      if (c == '#')
        at_ = std::min(text_.find('\n', at_), text_.size());
      else if (c == '"' || c == '\'')
        skip_string(c);
      else if (static_cast<unsigned char>(c) >= 0x80)
        refuse_character();
      else
        count(c), ++at_;
    }
  }

private:
  void count(char c) {
    const bool makes_one = c == '.' || c == '=' || c == ',' || c == '[' || c == '{';
    if (makes_one && ++values_ > most_values_)
      refuse(fmt::format("more than {} values", most_values_), "split or shorten the file");
    if (c == '.') {
      if (++dots_ >= limits::nesting) refuse_depth();
      return;
    }
    if (c == '\n' || c == '=' || c == ',' || c == '[' || c == ']' || c == '{' || c == '}') dots_ = 0;
    if (c == '[' || c == '{') {
      if (++brackets_ > limits::nesting) refuse_depth();
    } else if ((c == ']' || c == '}') && brackets_ > 0) {
      --brackets_;
    }
  }

  void skip_string(char quote) {
    const std::string three(3, quote);
    const bool multi_line = text_.substr(at_).starts_with(three);
    at_ += multi_line ? 3 : 1;
    while (at_ < text_.size()) {
      const char c = text_[at_];
      if (c == '\\' && quote == '"') {
        at_ += 2;
      } else if (multi_line && text_.substr(at_).starts_with(three)) {
        at_ += 3;
        for (int more = 0; more < 2 && at_ < text_.size() && text_[at_] == quote; ++more)
          ++at_;  // quotes of the content
        return;
      } else if (!multi_line && (c == quote || c == '\n')) {
        if (c == quote) ++at_;
        return;
      } else {
        ++at_;
      }
    }
  }

  [[noreturn]] void refuse_depth() const {
    refuse(fmt::format("nested deeper than {} levels", limits::nesting), "use fewer levels");
  }
  [[noreturn]] void refuse(const std::string& wrong, const std::string& right) const {
    throw InputError(position_of(text_, at_, name_), wrong, right);
  }

  [[noreturn]] void refuse_character() const {
    std::size_t end = at_ + 1;
    while (end < text_.size() && (static_cast<unsigned char>(text_[end]) & 0xc0u) == 0x80u) ++end;
    refuse(fmt::format("not valid TOML: '{}' stands outside quotes", shown(text_.substr(at_, end - at_))),
           "put text in quotes; names without quotes are of a to z, A to Z, 0 to 9, - and _");
  }

  std::string_view text_;
  const std::string& name_;
  std::size_t most_values_, at_ = 0, values_ = 0;
  int brackets_ = 0, dots_ = 0;
};

class Converter {
public:
  explicit Converter(const std::string& name) : name_(name) {}

  std::unique_ptr<Value> convert(const toml::node& node, int depth) const {
    auto value = std::make_unique<Value>();
    value->place = place(node.source());
    if (depth > limits::nesting)
      throw error(value->place, fmt::format("nested deeper than {} levels", limits::nesting), "use fewer levels");
    if (const toml::table* table = node.as_table()) {
      add_entries(*value, *table, depth);
    } else if (const toml::array* array = node.as_array()) {
      value->kind = Kind::array;
      if (array->size() > limits::entries)
        throw error(value->place, fmt::format("more than {} entries in one array", limits::entries), "use fewer");
      for (const toml::node& item : *array) value->items.push_back(convert(item, depth + 1));
    } else if (const auto* text = node.as_string()) {
      value->kind = Kind::text;
      value->text = text->get();
      require_text(value->text, position(value->place));
    } else if (const auto* integer = node.as_integer()) {
      value->kind = Kind::integer;
      value->integer = integer->get();
    } else if (const auto* number = node.as_floating_point()) {
      value->kind = Kind::number;
      value->number = number->get();
      if (!std::isfinite(value->number))
        throw error(value->place, "the number is not finite", "give an ordinary number");
    } else if (const auto* flag = node.as_boolean()) {
      value->kind = Kind::flag;
      value->flag = flag->get();
    } else {
      value->kind = Kind::date;
    }
    return value;
  }

private:
  void add_entries(Value& value, const toml::table& table, int depth) const {
    value.kind = Kind::table;
    if (table.size() > limits::entries)
      throw error(value.place, fmt::format("more than {} keys in one table", limits::entries), "use fewer keys");
    for (const auto& [key, node] : table) {
      Entry entry;
      entry.key = std::string(key.str());
      entry.place = place(key.source());
      require_text(entry.key, position(entry.place));
      entry.value = convert(node, depth + 1);
      if (entry.value->place.line == 0) entry.value->place = entry.place;
      value.entries.push_back(std::move(entry));
    }
    // toml++ sorts keys by name; the order of the file is the order of their positions.
    std::stable_sort(value.entries.begin(), value.entries.end(), [](const Entry& a, const Entry& b) {
      return std::pair(a.place.line, a.place.column) < std::pair(b.place.line, b.place.column);
    });
  }

  static Place place(const toml::source_region& region) {
    return {static_cast<int>(region.begin.line), static_cast<int>(region.begin.column), nullptr};
  }
  SourcePos position(const Place& place) const { return {name_, place.line, place.column}; }
  InputError error(const Place& place, const std::string& wrong, const std::string& right) const {
    return InputError(position(place), wrong, right);
  }

  const std::string& name_;
};

}  // namespace

void require_text(std::string_view text, const SourcePos& where) {
  if (text.size() > limits::text_bytes)
    throw InputError(where, fmt::format("a text of more than {} bytes", limits::text_bytes), "a shorter text");
  if (unsigned bad = 0; !is_harmless(text, bad))
    throw InputError(where, fmt::format("a text holds the control character U+{:04X}", bad),
                     "text with line breaks and tabs only");
}

std::unique_ptr<Value> parse_toml(std::string_view text, const std::string& name, std::size_t times) {
  if (text.size() > times * limits::file_bytes)
    throw InputError({name, 0, 0}, fmt::format("larger than {} MiB", times * limits::file_bytes >> 20),
                     "split or shorten the file");
  std::size_t bad = 0;
  if (!is_utf8(text, bad))
    throw InputError(position_of(text, bad, name), "not UTF-8 text", "save the file with UTF-8 encoding");
  SizeScan(text, name, times).run();
  try {
    const toml::table table = toml::parse(text, std::string_view(name));
    auto root = Converter(name).convert(table, 0);
    root->place = {1, 1, nullptr};
    return root;
  } catch (const toml::parse_error& e) {
    const auto& at = e.source().begin;
    throw InputError({name, std::max(1, static_cast<int>(at.line)), std::max(1, static_cast<int>(at.column))},
                     fmt::format("not valid TOML: {}", e.description()), "correct it according to TOML 1.0");
  }
}

}  // namespace wetrun::file
