// The folder in which the program keeps what outlives it: preferences, unfinished sessions, recordings.
//
//   FOLDER/preferences.toml      FOLDER/sessions/NAME-DATE-PID-N.session      FOLDER/recordings/NAME-DATE.jsonl
//
// Two programs may use one folder: names of new files are never used twice, a session that is being written is locked
// (autosave.h), and menu() does not offer it.
#pragma once
#include <ctime>
#include <string>
#include <vector>

#include "engine/file/table.h"
#include "engine/step/recording.h"
#include "trainer/exercise/library.h"
#include "trainer/window/view/preferences.h"
#include "trainer/window/view/start_menu.h"

namespace wetrun {

class Store {
public:
  /// Makes the folder. Throws InputError when it cannot be made or written to.
  explicit Store(std::string folder);
  /// Where it is by custom: $XDG_STATE_HOME/wetrun or ~/.local/state/wetrun (XDG Base Directory Specification 0.8).
  static std::string standard_folder();
  const std::string& folder() const { return folder_; }

  /// Defaults, and one line in `complaint`, when the file is broken; defaults without complaint when there is none.
  Preferences load_preferences(std::string& complaint) const;
  /// Throws InputError.
  void save_preferences(const Preferences& preferences) const;

  /// A name for a new session's autosave, made from an exercise's or a skid's. No file is made.
  std::string new_autosave(const std::string& name) const;
  /// What the start screen offers. Never fails: what is broken is listed with what is wrong with it.
  StartMenu menu(const Library& library) const;
  /// Keeps a recording; returns its file. Throws InputError.
  std::string keep_recording(const Recording& recording, const std::string& title) const;
  /// Forgets a saved session, or a recording. Throws InputError: not one of this folder's, open in another program.
  void discard(const std::string& file) const;

private:
  std::string folder_;
};

/// What preferences.toml holds. Throws InputError, placed in the document.
Preferences read_preferences(const Document& document);
/// Its text.
std::string preferences_text(const Preferences& preferences);

/// "today 14:05", "yesterday 09:12", "3 Nov 14:05", "3 Nov 2025".
std::string when_text(std::time_t then, std::time_t now);

}  // namespace wetrun
