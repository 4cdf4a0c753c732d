"""What a process holds that others are forked from: every module that a server, a watcher or a command needs, and the demo shop."""

import importlib
import pkgutil

import bot.answerers
import bot.app
import bot.commands
import bot.store.postgres_queue
from bot.store import catalogue
from engine.tables import load_tables
from tests.read_once import read_once
from tests.system.mail_worker import assistant

for module in pkgutil.iter_modules(bot.commands.__path__, "bot.commands."):
    importlib.import_module(module.name)
read_once()
catalogue.open_catalogue().check_light()
load_tables().check()
assistant()
