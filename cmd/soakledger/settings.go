package main

import (
	"errors"
	"os"
	"path/filepath"
	"strings"

	"github.com/spf13/cobra"
	"github.com/spf13/viper"
)

// layer reads the tool's settings: a file in the user's configuration folder,
// then SOAKLEDGER_... in the environment, then flags, the later over the
// earlier. A scenario never comes from here.
func (a *app) layer(cmd *cobra.Command) error {
	a.settings.SetEnvPrefix("soakledger")
	a.settings.SetEnvKeyReplacer(strings.NewReplacer("-", "_"))
	a.settings.AutomaticEnv()
	if dir, err := os.UserConfigDir(); err == nil {
		a.settings.SetConfigFile(filepath.Join(dir, "soakledger", "settings.yaml"))
		if err := a.settings.ReadInConfig(); err != nil && !missingFile(err) {
			return usage("reading the settings file: %w", err)
		}
	}
	return a.settings.BindPFlags(cmd.Flags())
}

// missingFile reports whether a settings file is simply not there.
func missingFile(err error) bool {
	var none viper.ConfigFileNotFoundError
	return errors.As(err, &none) || errors.Is(err, os.ErrNotExist)
}
