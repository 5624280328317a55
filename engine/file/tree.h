// What a TOML file holds, in file order and with positions: the form between the TOML parser (toml_parse.cpp) and the
// strict reader (table.cpp). Internal to engine/file.
#pragma once
#include <memory>
#include <string>
#include <string_view>
#include <vector>

#include "engine/core/error.h"

namespace wetrun::file {

enum class Kind { table, array, text, integer, number, flag, date, given };  // given: text of an override, type open

/// Where a value stands. `said` replaces the file for values of an override.
struct Place {
  int line = 0, column = 0;
  std::shared_ptr<const std::string> said;
};

struct Value;

/// How far a key has been asked for: `seen` by known(), `read` by a reader that took its value.
enum class Asked { no, seen, read };

struct Entry {
  std::string key;
  Place place;
  std::unique_ptr<Value> value;
  Asked asked = Asked::no;
};

struct Value {
  Kind kind = Kind::table;
  Place place;
  std::string text;  // text, given
  long long integer = 0;
  double number = 0;
  bool flag = false;
  std::vector<Entry> entries;                 // table
  std::vector<std::unique_ptr<Value>> items;  // array
  std::vector<std::string> asked_for;         // table: names that readers know, for "did you mean"

  Entry* find(std::string_view key);
};

std::string_view to_text(Kind kind);  // "text", "a whole number", ...

/// A key or a text may be kept: not too long, nothing in it that a terminal obeys (engine/core/text.h). Throws InputError.
void require_text(std::string_view text, const SourcePos& where);

/// Parses and checks the limits (limits.h), those of bytes and values `times` over. Throws InputError placed in `name`.
std::unique_ptr<Value> parse_toml(std::string_view text, const std::string& name, std::size_t times);

/// TOML text of a key (quoted if it has to be) and of a text value.
std::string key_text(std::string_view key);
std::string quoted_text(std::string_view text);

/// What readers took, for expanded(). Filled in the order of asking.
struct Record {
  struct Item {
    std::string key;
    std::string scalar;                           // TOML text, empty if a table or an array of tables
    std::vector<std::unique_ptr<Record>> tables;  // one, or the entries of an array
    bool array = false;
  };
  std::vector<Item> items;

  Item& item(std::string_view key);
  Record* table(std::string_view key);
  Record* table(std::string_view key, std::size_t index);  // entry of an array of tables
};

/// TOML text of a record.
std::string record_text(const Record& record);

}  // namespace wetrun::file
