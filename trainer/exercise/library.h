// Where scenario files are: by bare name in the scenarios folder, or by path.
#pragma once
#include <string>
#include <vector>

#include "engine/file/table.h"

namespace wetrun {

/// A value given on the command line: --set PATH=VALUE.
struct Override {
  std::string path, value, said;
};
/// Splits "unit.tank.volume=1.4 m3". Throws InputError.
Override parse_override(const std::string& text);

/// A document with the part it plays ("skid", "exercise", "sequence"), for overrides.
struct Target {
  std::string role;
  Document* document;
};
/// Gives each override to the document meant: "skid:unit.tank.volume", or without the role the one document that has
/// the path's first word at its top. "tank.volume" is short for "unit.tank.volume" where a skid has a unit "tank".
/// Throws InputError when no document, or more than one, is meant.
void apply_overrides(const std::vector<Override>& overrides, const std::vector<Target>& targets);

/// The scenarios folder.
class Library {
public:
  /// Looks for the scenarios folder: WETRUN_SCENARIOS, beside or above the program, the source tree.
  static Library standard();
  explicit Library(std::string folder) : folder_(std::move(folder)) {}

  struct Entry {
    std::string name, file;
  };
  /// All files of a kind ("exercise", "sequence", "skid"), by name in alphabetical order.
  std::vector<Entry> list(const std::string& kind) const;
  /// The file meant by a bare name or a path. `from_folder` is the folder of a file that names it ("" : the user does,
  /// from where the program runs): it may then lie only beside that file or below, or in ../skids (sequences, ...), and
  /// not be a link that leads elsewhere. Throws InputError with near names.
  Entry find(const std::string& kind, const std::string& name_or_path, const std::string& from_folder = "") const;
  const std::string& folder() const { return folder_; }

private:
  std::string folder_;
};

/// Folder of a file ("" if it has none).
std::string folder_of(const std::string& file);

}  // namespace wetrun
