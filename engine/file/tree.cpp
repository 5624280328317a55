#include "engine/file/tree.h"

#include <fmt/format.h>

#include <algorithm>

namespace wetrun::file {

Entry* Value::find(std::string_view key) {
  for (Entry& entry : entries)
    if (entry.key == key) return &entry;
  return nullptr;
}

std::string_view to_text(Kind kind) {
  switch (kind) {
    case Kind::table:
      return "a table";
    case Kind::array:
      return "an array";
    case Kind::text:
      return "text";
    case Kind::integer:
      return "a whole number";
    case Kind::number:
      return "a number";
    case Kind::flag:
      return "true or false";
    case Kind::date:
      return "a date or time";
    case Kind::given:
      return "a value";
  }
  return "a value";
}

std::string quoted_text(std::string_view text) {
  std::string out = "\"";
  for (char c : text) {
    const auto byte = static_cast<unsigned char>(c);
    if (c == '"' || c == '\\')
      out += '\\', out += c;
    else if (c == '\n')
      out += "\\n";
    else if (c == '\t')
      out += "\\t";
    else if (byte < 0x20 || byte == 0x7f)
      out += fmt::format("\\u{:04X}", byte);
    else
      out += c;
  }
  return out + '"';
}

std::string key_text(std::string_view key) {
  const bool bare = !key.empty() && std::all_of(key.begin(), key.end(), [](char c) {
    return (c >= 'a' && c <= 'z') || (c >= 'A' && c <= 'Z') || (c >= '0' && c <= '9') || c == '_' || c == '-';
  });
  return bare ? std::string(key) : quoted_text(key);
}

Record::Item& Record::item(std::string_view key) {
  for (Item& item : items)
    if (item.key == key) return item;
  items.emplace_back();
  items.back().key = key;
  return items.back();
}

Record* Record::table(std::string_view key) {
  Item& found = item(key);
  if (found.tables.empty()) found.tables.push_back(std::make_unique<Record>());
  return found.tables.front().get();
}

Record* Record::table(std::string_view key, std::size_t index) {
  Item& found = item(key);
  found.array = true;
  while (found.tables.size() <= index) found.tables.push_back(std::make_unique<Record>());
  return found.tables[index].get();
}

namespace {

void write(const Record& record, const std::string& path, std::string& out) {
  for (const Record::Item& item : record.items)
    if (item.tables.empty()) out += fmt::format("{} = {}\n", key_text(item.key), item.array ? "[]" : item.scalar);
  for (const Record::Item& item : record.items) {
    const std::string name = path.empty() ? key_text(item.key) : path + "." + key_text(item.key);
    for (const auto& table : item.tables) {
      out += item.array ? fmt::format("\n[[{}]]\n", name) : fmt::format("\n[{}]\n", name);
      write(*table, name, out);
    }
  }
}

}  // namespace

std::string record_text(const Record& record) {
  std::string out;
  write(record, "", out);
  return out;
}

}  // namespace wetrun::file
