#!/usr/bin/python3
"""A window with WebKitGTK in it, driven from outside, that keeps its data in a folder.

WebKit's own small browser keeps nothing when it is driven, so no test could kill it and find its
records again. Debian's interpreter has the bindings; another one on the path may not.

    webkit_view.py FOLDER WIDTH HEIGHT
"""

import sys

import gi

gi.require_version("Gtk", "3.0")
gi.require_version("WebKit2", "4.1")
from gi.repository import Gtk, WebKit2  # noqa: E402

folder, width, height = sys.argv[1], int(sys.argv[2]), int(sys.argv[3])
data = WebKit2.WebsiteDataManager(base_data_directory=folder, base_cache_directory=folder)
context = WebKit2.WebContext(website_data_manager=data)
context.set_automation_allowed(True)


def new_view(_session):
    view = WebKit2.WebView(web_context=context, is_controlled_by_automation=True)
    window = Gtk.Window()
    window.set_default_size(width, height)
    window.add(view)
    window.show_all()
    return view


context.connect("automation-started", lambda _, session: session.connect("create-web-view", new_view))
Gtk.main()
