package archive

import (
	"encoding/json"
	"errors"

	"steadfall/kinematics"
)

// settingsVersion is the version of the settings that are stored as JSON. Those of version 1 were
// stored without saying so at first; under another version names may mean something else.
const settingsVersion = 1

var errNewerSettings = errors.New("the settings are of a newer steadfall; update steadfall")

// viewSettings are what a view was measured under, as stored.
type viewSettings struct {
	Version int `json:"version,omitempty"`
	kinematics.Options
}

// takeSettings are what else was said of a take, as stored.
type takeSettings struct {
	Version int `json:"version,omitempty"`
	TakeOptions
}

func packOptions(o kinematics.Options) (string, error) {
	text, err := json.Marshal(viewSettings{settingsVersion, o})
	return string(text), err
}

func unpackOptions(text string) (kinematics.Options, error) {
	var s viewSettings
	err := json.Unmarshal([]byte(text), &s)
	if err == nil && s.Version > settingsVersion {
		err = errNewerSettings
	}
	return s.Options, err
}

func packTakeOptions(o TakeOptions) (string, error) {
	text, err := json.Marshal(takeSettings{settingsVersion, o})
	return string(text), err
}

func unpackTakeOptions(text string) (TakeOptions, error) {
	var s takeSettings
	err := json.Unmarshal([]byte(text), &s)
	if err == nil && s.Version > settingsVersion {
		err = errNewerSettings
	}
	return s.TakeOptions, err
}
