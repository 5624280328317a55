#include "engine/file/table.h"

#include <fmt/format.h>

#include <algorithm>
#include <charconv>
#include <cmath>

#include "engine/core/nearest.h"
#include "engine/core/text.h"
#include "engine/core/units.h"
#include "engine/file/document.h"
#include "engine/file/limits.h"

namespace wetrun {

using file::Entry;
using file::Kind;
using file::Value;

namespace {

constexpr double unlimited = 1e299;

std::string range_text(const Range& range, std::string_view si_unit) {
  const std::string low = format_quantity(range.min, si_unit, 6), high = format_quantity(range.max, si_unit, 6);
  if (range.min < -unlimited) return "at most " + high;
  if (range.max > unlimited) return "at least " + low;
  return low + " to " + high;
}

std::string example_of(std::string_view key, std::string_view si_unit, const Range& range) {
  const std::string name = file::key_text(key);
  std::string text = si_unit == "1" ? fmt::format("add '{} = NUMBER'", name)
                                    : fmt::format("add '{} = \"NUMBER {}\"'", name, customary_unit(si_unit));
  if (range.min > -unlimited || range.max < unlimited) text += fmt::format(" ({})", range_text(range, si_unit));
  return text;
}

std::string value_text(const Value& value) {
  switch (value.kind) {
    case Kind::text:
    case Kind::given:
      return "'" + shown(value.text) + "'";
    case Kind::integer:
      return fmt::format("{}", value.integer);
    case Kind::number:
      return fmt::format("{}", value.number);
    default:
      return std::string(to_text(value.kind));
  }
}

std::optional<long long> whole_number(std::string_view text) {
  long long number = 0;
  if (text.starts_with('+')) text.remove_prefix(1);
  const auto [end, code] = std::from_chars(text.data(), text.data() + text.size(), number);
  return code == std::errc() && end == text.data() + text.size() ? std::optional(number) : std::nullopt;
}

std::string array_text(const std::vector<std::string>& items) { return fmt::format("[{}]", fmt::join(items, ", ")); }

std::string quantity_toml(double value, std::string_view si_unit) {
  const std::string text = exact_quantity(value, si_unit);
  return si_unit == "1" ? text : file::quoted_text(text);
}

}  // namespace

std::string Table::Impl::path_of(std::string_view key) const {
  return path.empty() ? file::key_text(key) : path + "." + file::key_text(key);
}

Entry* Table::Impl::read(std::string_view key) const {
  std::vector<std::string>& names = value->asked_for;
  if (std::find(names.begin(), names.end(), key) == names.end()) names.emplace_back(key);
  Entry* entry = value->find(key);
  if (entry) entry->asked = file::Asked::read;
  return entry;
}

Entry& Table::Impl::require(std::string_view key, const std::string& example) const {
  if (Entry* entry = read(key)) return *entry;
  throw error(*value, fmt::format("missing key '{}'", path_of(key)), example);
}

InputError Table::Impl::error(const Value& at, const std::string& wrong, const std::string& right) const {
  return InputError(document->position(at.place), wrong, right);
}

InputError Table::Impl::wrong_type(const Value& at, const std::string& value_path, const std::string& needed) const {
  return error(at, fmt::format("{} is {}", value_path, to_text(at.kind)), "it must be " + needed);
}

double Table::Impl::quantity_of(const Value& at, const std::string& value_path, std::string_view si_unit,
                                Range range) const {
  const bool bare_allowed = si_unit == "1" || si_unit == "pH";
  double number = 0;
  if (at.kind == Kind::text || at.kind == Kind::given) {
    try {
      number = parse_quantity(at.text, si_unit);
    } catch (const InputError& e) {
      throw error(at, value_path + ": " + e.wrong(), e.right());
    }
  } else if (at.kind == Kind::integer || at.kind == Kind::number) {
    if (!bare_allowed)
      throw error(
          at, fmt::format("{} = {} has no unit", value_path, value_text(at)),
          fmt::format("write it as text with a unit, such as \"{} {}\"", value_text(at), customary_unit(si_unit)));
    number = at.kind == Kind::integer ? static_cast<double>(at.integer) : at.number;
  } else {
    throw wrong_type(
        at, value_path,
        bare_allowed ? "a number" : fmt::format("text with a unit, such as \"1 {}\"", customary_unit(si_unit)));
  }
  if (!(number >= range.min && number <= range.max))
    throw error(at, fmt::format("{} = {} is out of range", value_path, value_text(at)),
                "use " + range_text(range, si_unit));
  return number + 0.0;  // -0 as 0: a whole number of a file cannot tell them apart
}

std::string Table::Impl::text_of(const Value& at, const std::string& value_path) const {
  if (at.kind != Kind::text && at.kind != Kind::given) throw wrong_type(at, value_path, "text in quotes");
  return at.text;
}

double Table::quantity(std::string_view key, std::string_view si_unit, Range range) const {
  // The example costs more than the look-up, so it is made only for a missing key.
  Entry* entry = impl_->read(key);
  if (!entry) entry = &impl_->require(key, example_of(key, si_unit, range));
  const double number = impl_->quantity_of(*entry->value, impl_->path_of(key), si_unit, range);
  impl_->note(key, quantity_toml(number, si_unit));
  return number;
}

std::string Table::text(std::string_view key) const { return text(key, limits::text_bytes); }

std::string Table::text(std::string_view key, std::size_t most_bytes) const {
  const Entry& entry = impl_->require(key, fmt::format("add '{} = \"TEXT\"'", file::key_text(key)));
  std::string text = impl_->text_of(*entry.value, impl_->path_of(key));
  if (text.size() > most_bytes)
    throw impl_->error(*entry.value, fmt::format("{} is longer than {} bytes", impl_->path_of(key), most_bytes),
                       "a shorter text");
  impl_->note(key, file::quoted_text(text));
  return text;
}

bool Table::flag(std::string_view key) const {
  const Value& value = *impl_->require(key, fmt::format("add '{} = true' or false", file::key_text(key))).value;
  bool flag = value.flag;
  if (value.kind == Kind::given && (value.text == "true" || value.text == "false"))
    flag = value.text == "true";
  else if (value.kind != Kind::flag)
    throw impl_->error(value, fmt::format("{} is {}", impl_->path_of(key), value_text(value)), "use true or false");
  impl_->note(key, flag ? "true" : "false");
  return flag;
}

long long Table::count(std::string_view key, long long min, long long max) const {
  const std::string example = fmt::format("add '{} = NUMBER' ({} to {})", file::key_text(key), min, max);
  const Value& value = *impl_->require(key, example).value;
  std::optional<long long> number;
  if (value.kind == Kind::integer) number = value.integer;
  if (value.kind == Kind::given) number = whole_number(value.text);
  if (!number)
    throw impl_->error(value, fmt::format("{} is {}", impl_->path_of(key), value_text(value)),
                       fmt::format("use a whole number without a unit, {} to {}", min, max));
  if (*number < min || *number > max)
    throw impl_->error(value, fmt::format("{} = {} is out of range", impl_->path_of(key), *number),
                       fmt::format("use {} to {}", min, max));
  impl_->note(key, fmt::format("{}", *number));
  return *number;
}

std::vector<double> Table::quantities(std::string_view key, std::string_view si_unit, Range range) const {
  const std::string example =
      fmt::format("add '{} = [\"NUMBER {}\", ...]'", file::key_text(key), customary_unit(si_unit));
  const Value& value = *impl_->require(key, example).value;
  const std::string path = impl_->path_of(key);
  if (value.kind != Kind::array) throw impl_->wrong_type(value, path, "an array: [...]");
  std::vector<double> numbers;
  std::vector<std::string> written;
  for (const auto& item : value.items) {
    const std::string item_path = fmt::format("{}[{}]", path, numbers.size());
    numbers.push_back(impl_->quantity_of(*item, item_path, si_unit, range));
    written.push_back(quantity_toml(numbers.back(), si_unit));
  }
  impl_->note(key, array_text(written));
  return numbers;
}

std::vector<std::string> Table::texts(std::string_view key) const {
  const Value& value = *impl_->require(key, fmt::format("add '{} = [\"TEXT\", ...]'", file::key_text(key))).value;
  const std::string path = impl_->path_of(key);
  if (value.kind != Kind::array) throw impl_->wrong_type(value, path, "an array of texts: [\"...\"]");
  std::vector<std::string> texts, written;
  for (const auto& item : value.items) {
    texts.push_back(impl_->text_of(*item, fmt::format("{}[{}]", path, texts.size())));
    written.push_back(file::quoted_text(texts.back()));
  }
  impl_->note(key, array_text(written));
  return texts;
}

double Table::quantity_or(std::string_view key, std::string_view si_unit, double fallback, Range range) const {
  if (impl_->read(key)) return quantity(key, si_unit, range);
  // A range can depend on other values of the file, and the default may then not fit.
  if (!(fallback >= range.min && fallback <= range.max))
    throw impl_->error(*impl_->value,
                       fmt::format("missing key '{}', whose default, {}, is out of range here", impl_->path_of(key),
                                   format_quantity(fallback, si_unit, 6)),
                       example_of(key, si_unit, range));
  impl_->note(key, quantity_toml(fallback, si_unit));
  return fallback;
}

std::string Table::text_or(std::string_view key, std::string_view fallback) const {
  return text_or(key, fallback, limits::text_bytes);
}

std::string Table::text_or(std::string_view key, std::string_view fallback, std::size_t most_bytes) const {
  if (impl_->read(key)) return text(key, most_bytes);
  impl_->note(key, file::quoted_text(fallback));
  return std::string(fallback);
}

bool Table::flag_or(std::string_view key, bool fallback) const {
  if (impl_->read(key)) return flag(key);
  impl_->note(key, fallback ? "true" : "false");
  return fallback;
}

long long Table::count_or(std::string_view key, long long fallback, long long min, long long max) const {
  if (impl_->read(key)) return count(key, min, max);
  impl_->note(key, fmt::format("{}", fallback));
  return fallback;
}

std::vector<std::string> Table::texts_or_empty(std::string_view key) const {
  if (impl_->read(key)) return texts(key);
  impl_->note(key, "[]");
  return {};
}

std::optional<double> Table::quantity_if(std::string_view key, std::string_view si_unit, Range range) const {
  if (impl_->read(key)) return quantity(key, si_unit, range);
  return std::nullopt;
}

std::optional<std::string> Table::text_if(std::string_view key) const {
  if (impl_->read(key)) return text(key);
  return std::nullopt;
}

std::string Table::word(std::string_view key, const std::vector<std::string>& allowed) const {
  const Value& value = *impl_->require(key, fmt::format("add it with one of {}", list_with_or(allowed))).value;
  const std::string word = impl_->text_of(value, impl_->path_of(key));
  if (std::find(allowed.begin(), allowed.end(), word) == allowed.end())
    throw impl_->error(value, fmt::format("{} = '{}' is not known", impl_->path_of(key), shown(word)),
                       "use " + list_with_or(allowed));
  impl_->note(key, file::quoted_text(word));
  return word;
}

std::string Table::word_or(std::string_view key, const std::vector<std::string>& allowed,
                           std::string_view fallback) const {
  if (impl_->read(key)) return word(key, allowed);
  impl_->note(key, file::quoted_text(fallback));
  return std::string(fallback);
}

bool Table::has(std::string_view key) const { return impl_->value->find(key) != nullptr; }

Table Table::Impl::child(Value& child_value, file::Record* child_record, const std::string& child_path) const {
  Table table;
  table.impl_ = std::make_shared<Impl>(Impl{document, &child_value, child_record, child_path});
  return table;
}

Table Table::table(std::string_view key) const {
  const Entry& entry = impl_->require(key, fmt::format("add a table [{}]", impl_->path_of(key)));
  const std::string path = impl_->path_of(key);
  if (entry.value->kind != Kind::table) throw impl_->wrong_type(*entry.value, path, fmt::format("a table: [{}]", path));
  return impl_->child(*entry.value, impl_->record->table(key), path);
}

std::optional<Table> Table::table_if(std::string_view key) const {
  if (impl_->read(key)) return table(key);
  return std::nullopt;
}

std::vector<Table> Table::tables(std::string_view key) const { return tables(key, limits::entries); }

std::vector<Table> Table::tables(std::string_view key, std::size_t most) const {
  const Entry* entry = impl_->read(key);
  if (!entry) return {};
  const std::string path = impl_->path_of(key);
  if (entry->value->kind != Kind::array)
    throw impl_->wrong_type(*entry->value, path, fmt::format("an array of tables: [[{}]]", path));
  if (entry->value->items.size() > most)
    throw impl_->error(*entry->value, fmt::format("more than {} of [[{}]]", most, path), "use fewer");
  impl_->record->item(key).array = true;
  std::vector<Table> list;
  for (const auto& item : entry->value->items) {
    const std::string item_path = fmt::format("{}[{}]", path, list.size());
    if (item->kind != Kind::table)
      throw impl_->wrong_type(*item, item_path, fmt::format("a table of the array [[{}]]", path));
    list.push_back(impl_->child(*item, impl_->record->table(key, list.size()), item_path));
  }
  return list;
}

std::vector<std::string> Table::keys() const {
  std::vector<std::string> keys;
  for (const Entry& entry : impl_->value->entries) keys.push_back(entry.key);
  return keys;
}

void Table::known(std::string_view key) const {
  std::vector<std::string>& names = impl_->value->asked_for;
  if (std::find(names.begin(), names.end(), key) == names.end()) names.emplace_back(key);
  Entry* entry = impl_->value->find(key);
  if (entry && entry->asked == file::Asked::no) entry->asked = file::Asked::seen;
}

namespace {

std::string keys_that_fit(const Value& table, std::string_view wrong) {
  const std::string guess = did_you_mean(nearest(wrong, table.asked_for));
  if (!guess.empty()) return guess;
  if (table.asked_for.empty()) return "remove it: no keys are known here";
  constexpr std::size_t most_listed = 12;
  std::vector<std::string> names(
      table.asked_for.begin(),
      table.asked_for.begin() + static_cast<std::ptrdiff_t>(std::min(most_listed, table.asked_for.size())));
  return fmt::format("known here: {}{}", fmt::join(names, ", "), table.asked_for.size() > most_listed ? ", ..." : "");
}

std::string joined(const std::string& path, std::string_view key) {
  return path.empty() ? file::key_text(key) : path + "." + file::key_text(key);
}

}  // namespace

// A local struct, because only members may name Document::Impl. Below a key that was only marked as known another
// reader is responsible: nothing is checked there.
void Table::finish() const {
  struct Walk {
    const Document::Impl& document;
    void run(const Value& table, const std::string& path) const {
      for (const Entry& entry : table.entries) {
        const std::string here = joined(path, entry.key);
        if (entry.asked == file::Asked::no)
          throw InputError(document.position(entry.place), fmt::format("unknown key '{}'", shown(here)),
                           keys_that_fit(table, entry.key));
        if (entry.asked != file::Asked::read) continue;
        if (entry.value->kind == Kind::table) run(*entry.value, here);
        if (entry.value->kind != Kind::array) continue;
        for (std::size_t i = 0; i < entry.value->items.size(); ++i)
          if (entry.value->items[i]->kind == Kind::table) run(*entry.value->items[i], fmt::format("{}[{}]", here, i));
      }
    }
  };
  Walk{*impl_->document}.run(*impl_->value, impl_->path);
}

std::string Table::path() const { return impl_->path; }

SourcePos Table::where() const { return impl_->document->position(impl_->value->place); }

SourcePos Table::where(std::string_view key) const {
  const Entry* entry = impl_->value->find(key);
  return entry ? impl_->document->position(entry->value->place) : where();
}

InputError Table::error(std::string_view key, const std::string& wrong, const std::string& right) const {
  return InputError(where(key), fmt::format("{}: {}", impl_->path_of(key), wrong), right);
}

}  // namespace wetrun
