package stationfile

import (
	_ "github.com/fsnotify/fsnotify"
	_ "github.com/pelletier/go-toml/v2"
)
