// Strict reading of TOML 1.0 files. Every key must be asked for by some reader: a key nobody asked for is an error with
// file, line and column. Values are text with units ("1.6 m3"); a missing or wrong-dimension unit is an error.
//
//   Document doc = Document::load("scenarios/skids/ostrey.toml");
//   doc.override_value("tank.volume", "1.4 m3");            // --set
//   Table root = doc.root();
//   double v = root.table("tank").quantity("volume", "m3", {0.01, 100});
//   doc.finish();                                            // complains of unknown keys
//   doc.expanded();                                          // TOML text of all that was read, defaults included
//
// Errors are InputError with a position. An override is positioned as "--set PATH=VALUE".
#pragma once
#include <memory>
#include <optional>
#include <string>
#include <string_view>
#include <vector>

#include "engine/core/error.h"

namespace wetrun {

/// Closed range of accepted SI values.
struct Range {
  double min = -1e300;
  double max = 1e300;
};

class Document;

/// One table of a document. Cheap to copy; valid while its Document lives.
class Table {
public:
  /// Required values. Throw InputError when missing, of the wrong type, dimension, or out of range.
  double quantity(std::string_view key, std::string_view si_unit, Range range = {}) const;
  std::string text(std::string_view key) const;
  std::string text(std::string_view key, std::size_t most_bytes) const;
  bool flag(std::string_view key) const;
  long long count(std::string_view key, long long min, long long max) const;
  std::vector<double> quantities(std::string_view key, std::string_view si_unit, Range range = {}) const;  // array
  std::vector<std::string> texts(std::string_view key) const;                                              // array

  /// Optional values with a default (SI). The default is recorded, so that expanded() shows it.
  double quantity_or(std::string_view key, std::string_view si_unit, double fallback, Range range = {}) const;
  std::string text_or(std::string_view key, std::string_view fallback) const;
  std::string text_or(std::string_view key, std::string_view fallback, std::size_t most_bytes) const;
  bool flag_or(std::string_view key, bool fallback) const;
  long long count_or(std::string_view key, long long fallback, long long min, long long max) const;
  std::vector<std::string> texts_or_empty(std::string_view key) const;
  std::optional<double> quantity_if(std::string_view key, std::string_view si_unit, Range range = {}) const;
  std::optional<std::string> text_if(std::string_view key) const;

  /// One of a list of words; anything else is an error that lists them.
  std::string word(std::string_view key, const std::vector<std::string>& allowed) const;
  std::string word_or(std::string_view key, const std::vector<std::string>& allowed, std::string_view fallback) const;

  bool has(std::string_view key) const;
  Table table(std::string_view key) const;                    // required sub-table
  std::optional<Table> table_if(std::string_view key) const;  // absent is fine
  /// Array of tables; absent gives an empty list.
  std::vector<Table> tables(std::string_view key) const;
  std::vector<Table> tables(std::string_view key, std::size_t most) const;
  std::vector<std::string> keys() const;  // in file order

  /// Marks a key as known without reading it now (another reader will).
  void known(std::string_view key) const;
  /// Complain of keys of this table (and below) that nobody has asked for.
  void finish() const;

  std::string path() const;                     // "unit.tank", "phase[2]"
  SourcePos where() const;                      // of the table itself
  SourcePos where(std::string_view key) const;  // of a value; of the table if the key is absent
  /// An InputError placed at a key.
  InputError error(std::string_view key, const std::string& wrong, const std::string& right) const;

private:
  friend class Document;
  struct Impl;
  std::shared_ptr<const Impl> impl_;
};

class Document {
public:
  /// Reads a file. Throws InputError: unreadable, beyond a limit of limits.h, not UTF-8, malformed TOML, or a text or key
  /// that holds a control character.
  static Document load(const std::string& file);
  /// Parses text; `name` stands for the file in messages.
  static Document parse(std::string_view text, const std::string& name);
  /// The same of a text that expanded() gave, which may be longer and hold more values: limits::expansion.
  static Document parse_expanded(std::string_view text, const std::string& name);

  /// Replaces or adds a scalar or one array entry by dotted path ("unit.tank.volume", "phase[2].within"). The type of
  /// an existing value is kept: text stays text. Throws InputError if the path leads through a value that is no table.
  /// `said` is how the user gave it, for messages (default "--set PATH=VALUE").
  void override_value(std::string_view path, std::string_view value, const std::string& said = "");

  Table root() const;
  void finish() const { root().finish(); }
  /// TOML text of everything that was read so far, in the order it was asked for, defaults included: it loads back to
  /// the same values.
  std::string expanded() const;
  const std::string& file() const;
  /// Checks the two keys every file starts with; throws InputError if `kind` differs or version is not supported.
  void require_kind(std::string_view kind, int version) const;

private:
  static Document parse(std::string_view text, const std::string& name, std::size_t times);
  struct Impl;
  std::shared_ptr<Impl> impl_;
  friend class Table;
};

}  // namespace wetrun
