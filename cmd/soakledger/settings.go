package main

import (
	"errors"
	"os"
	"path/filepath"
	"slices"
	"strings"

	"github.com/spf13/cobra"
	"github.com/spf13/pflag"
	"github.com/spf13/viper"
)

// layered are the flags that may also be set in the environment or in the
// settings file. The others ask for something on one occasion only.
var layered = []string{"json", "out", "quick", "quiet", "replace", "workers"}

// unlayered marks a flag of that name that means something else than the setting.
const unlayered = "unlayered"

// layer reads the tool's settings: a file in the user's configuration folder,
// then SOAKLEDGER_... in the environment, then flags, the later over the
// earlier. A scenario never comes from here. The values end up in the flags
// and pass their checks.
func layer(cmd *cobra.Command) error {
	v := viper.New()
	v.SetEnvPrefix("soakledger")
	v.AutomaticEnv()
	if dir, err := os.UserConfigDir(); err == nil {
		v.SetConfigFile(filepath.Join(dir, "soakledger", "settings.yaml"))
		if err := v.ReadInConfig(); err != nil && !missingFile(err) {
			return usage("reading the settings file: %w", err)
		}
	}
	for _, key := range v.AllKeys() {
		if !slices.Contains(layered, key) {
			return usage("%s: unknown setting %q; the settings are %s", v.ConfigFileUsed(), key, strings.Join(layered, ", "))
		}
	}
	var wrong error
	cmd.Flags().VisitAll(func(f *pflag.Flag) {
		if _, own := f.Annotations[unlayered]; own || f.Changed || !slices.Contains(layered, f.Name) || !v.IsSet(f.Name) {
			return
		}
		if err := f.Value.Set(v.GetString(f.Name)); err != nil && wrong == nil {
			wrong = usage("setting %s: %q is not allowed: %w", f.Name, v.GetString(f.Name), err)
		}
	})
	return wrong
}

// missingFile reports whether a settings file is simply not there.
func missingFile(err error) bool {
	var none viper.ConfigFileNotFoundError
	return errors.As(err, &none) || errors.Is(err, os.ErrNotExist)
}
